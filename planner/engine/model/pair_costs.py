"""The cost of two items as neighbours, by their kinds: whole numbers, added up over all neighbour pairs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import networkx as nx
import numpy as np
import numpy.typing as npt

from planner.engine.model import budget
from planner.engine.model.instance import SpotOf
from planner.engine.model.neighbour_pairs import Whole, ends_of

Costs = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class PairCosts:
    """What each two items cost as neighbours.

    Attributes
    ----------
    kind
        Of each item: 0, 1, … in ascending order of due.
    between
        (kind, kind) → whole number, 0 or more, the same either way round.
    each
        Kinds → the same of each two of them, where many are asked for at once.
    """

    kind: tuple[int, ...]
    between: Callable[[int, int], int]
    each: Callable[[Sequence[int]], Costs] | None = None
    _known: dict[tuple[int, int], int] = field(default_factory=dict, repr=False)

    def cost(self, one: int, other: int) -> int:
        """What neighbours of two kinds cost; each two are asked for once."""
        key = (one, other) if one <= other else (other, one)
        if key not in self._known:
            self._known[key] = self.between(*key)
        return self._known[key]

    def total(self, graph: nx.Graph[Any], spot_of: SpotOf) -> int:
        """The sum over all neighbour pairs of a graph, those of two pinned items too."""
        return self.sum(ends_of(graph).pairs(spot_of))

    def sum(self, pairs: Whole) -> int:
        """The sum over pairs of items, shape (pairs, 2)."""
        if not len(pairs):
            return 0
        kinds = np.array(self.kind, dtype=np.int64)[pairs]
        alike, many = np.unique(np.sort(kinds, axis=1), axis=0, return_counts=True)
        each = (self.cost(a, b) for a, b in alike.tolist())
        return sum(count * one for count, one in zip(many.tolist(), each, strict=True))

    def table(self) -> Costs:
        """What two kinds cost, shape (kinds, kinds); of very many kinds the nearest few stand for all."""
        kinds = max(self.kind, default=-1) + 1
        step = -(-kinds // budget.PAIR_KINDS) or 1
        few = range(step // 2, kinds, step)
        of = np.minimum(np.arange(kinds) // step, len(few) - 1)
        costs: Costs = self.of_each(few)[np.ix_(of, of)]
        return costs

    def of_each(self, kinds: Sequence[int]) -> Costs:
        """What each two of these kinds cost, shape (len(kinds), len(kinds))."""
        if self.each is not None:
            return self.each(kinds)
        rows = [[self.cost(a, b) for b in kinds] for a in kinds]
        costs: Costs = np.array(rows, dtype=np.int64).reshape(len(kinds), len(kinds))
        return costs
