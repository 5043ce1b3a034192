"""The chances that two pupae of a problem dry their wings together, as costs of neighbours."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import networkx as nx
import numpy as np

from planner.emergence import Emergence, together
from planner.emergence.drying import together_each
from planner.engine.model.instance import SpotOf
from planner.engine.model.neighbour_pairs import ends_of
from planner.engine.model.pair_costs import Costs, PairCosts

THOUSANDTHS = 1000  # of a pair: the unit of risk
NEVER = 1e-4  # a pair less likely than that to dry their wings together counts as none


def thousandths(chance: float) -> int:
    """A chance in whole thousandths, rounded up; none where it is less than one in ten thousand."""
    return 0 if chance < NEVER else math.ceil(THOUSANDTHS * chance - 1e-9)


@dataclass(frozen=True, eq=False)
class Drying:
    """The distributions of emergence of a problem's items, and what each two cost as neighbours.

    Attributes
    ----------
    emergence_of_kind
        Items of which the same is known are one kind; None: of a kind without a date nothing is known.
    costs
        In `THOUSANDTHS` of a pair.
    """

    emergence_of_kind: tuple[Emergence | None, ...]
    costs: PairCosts
    _chance: dict[tuple[int, int], float]

    @classmethod
    def of(cls, emergences: Sequence[Emergence | None], dues: Sequence[float]) -> Drying:
        """Of items with these distributions and dues (days)."""
        first: dict[int, int] = {}
        for i in sorted(range(len(dues)), key=lambda i: (dues[i], i)):
            first.setdefault(id(emergences[i]), i)
        number = {one: kind for kind, one in enumerate(first)}
        kinds = tuple(emergences[i] for i in first.values())
        chances: dict[tuple[int, int], float] = {}

        def between(one: int, other: int) -> int:
            return thousandths(_chance(kinds, chances, one, other))

        def each(those: Sequence[int]) -> Costs:
            known = [k for k in those if kinds[k] is not None]
            costs = np.zeros((len(those), len(those)), dtype=np.int64)
            if known:
                where = [n for n, k in enumerate(those) if kinds[k] is not None]
                found = together_each([e for k in known if (e := kinds[k]) is not None])
                rows = [[thousandths(chance) for chance in row] for row in found.tolist()]
                costs[np.ix_(where, where)] = rows
            return costs

        return cls(kinds, PairCosts(tuple(number[id(e)] for e in emergences), between, each), chances)

    def expected(self, graph: nx.Graph[Any], spot_of: SpotOf) -> float:
        """The expected number of neighbour pairs that dry their wings together, not rounded."""
        pairs = ends_of(graph).pairs(spot_of)  # those that may not be touched count here
        if not len(pairs):
            return 0.0
        kinds = np.array(self.costs.kind, dtype=np.int64)[pairs]
        alike, many = np.unique(np.sort(kinds, axis=1), axis=0, return_counts=True)
        each = (_chance(self.emergence_of_kind, self._chance, a, b) for a, b in alike.tolist())
        return float(sum(count * one for count, one in zip(many.tolist(), each, strict=True)))


def _chance(
    kinds: Sequence[Emergence | None], known: dict[tuple[int, int], float], one: int, other: int
) -> float:
    key = (one, other) if one <= other else (other, one)
    if key not in known:
        a, b = kinds[key[0]], kinds[key[1]]
        known[key] = 0.0 if a is None or b is None else together(a, b)
    return known[key]
