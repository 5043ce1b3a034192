"""Clashes, risk, elbow room and carrying as one cost, each weighted above all that comes after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import networkx as nx
import numpy as np

from planner.engine.model import budget
from planner.engine.model.instance import EPS, Instance
from planner.engine.model.neighbour_pairs import Whole
from planner.engine.model.pair_costs import PairCosts
from planner.engine.model.penalties import Penalty
from planner.engine.secondary.carrying import Carrying
from planner.engine.secondary.fields import Costs

TOGETHER = 6  # items hung again in one step are fewer: what a step can change is less than so many times one


@dataclass(frozen=True)
class Weighted:
    """Costs with their weights; ``risky``: the weight of a unit of risk."""

    costs: Costs
    risky: int

    def enough(self, touched: int, least: int) -> int:
        """A cost below which an arrangement has the least risk, elbow room for all, and no clashes.

        ``touched``: what moving costs; ``least``: of the risk.
        """
        return self.costs.touch * touched + self.risky * least + self.costs.crowded


def weighted(
    inst: Instance,
    gap: float,
    penalty: Penalty | None,
    risk: PairCosts,
    close: nx.Graph[Any],
    carrying: Carrying,
) -> Weighted:
    """The levels in their order as one cost, for a search that changes few items at a time.

    Parameters
    ----------
    gap
        Days; neighbours closer than that clash.
    penalty
        Of clashes that cannot be avoided.
    close
        Joins nodes that leave hands no elbow room.
    """
    sorts: dict[tuple[int, int, int], int] = {}
    key = [(round(inst.dues[i] / EPS), inst.kind(i), risk.kind[i]) for i in range(len(inst.dues))]
    sort = [sorts.setdefault(k, len(sorts)) for k in key]
    one_of = {s: i for i, s in reversed(list(enumerate(sort)))}
    table, n = risk.table(), len(sorts)
    drying = [risk.kind[one_of[s]] for s in range(n)]
    dries = table[np.ix_(drying, drying)]
    clash, weight = _clashes(inst, [one_of[s] for s in range(n)], gap, penalty)
    groups: dict[tuple[object, int], int] = {}
    group = {i: groups.setdefault((carrying.source(i), sort[i]), len(groups)) for i in inst.free_items}
    carry = np.zeros((max(1, len(groups)), len(inst.open_nodes)), dtype=np.int64)
    if carry.size <= budget.SECONDARY_MADE:
        for (source, s), row in groups.items():
            cost, order, item = carrying.cost, carrying.order, one_of[s]
            carry[row] = [cost(source, node) + order(item, node) for node in inst.open_nodes]
    most = max((len(near) for _, near in inst.graph.adj.items()), default=0)
    most_close = max((len(near) for _, near in close.adj.items()), default=0)
    price = max(map(inst.price_of, inst.free_items), default=1)
    crowded = (len(group) + 1) * (int(carry.max(initial=0)) + 1)  # more than all carrying together
    risky = crowded * (TOGETHER * most_close + 1)
    touch = risky * (TOGETHER * most * int(dries.max(initial=0)) + 1)
    heavy = touch * (TOGETHER * price + 1)
    heaviest = heavy * (TOGETHER * most * int(weight.max(initial=0)) + 1)
    shut = np.zeros((n, len(inst.open_nodes)), dtype=bool)
    for k, node in enumerate(inst.open_nodes):
        if node in inst.reserved_beside or node in inst.reserved_from:
            for s, item in one_of.items():
                in_time = inst.leaves_in_time(node, inst.vacated_by(item))
                shut[s, k] = not in_time or inst.disturbs_reservation(node, inst.dues[item], inst.kind(item))
    beside = heaviest * clash + heavy * weight + risky * dries
    return Weighted(Costs(sort, beside, crowded, close, touch, group, carry, shut), risky)


def _clashes(
    inst: Instance, items: Sequence[int], gap: float, penalty: Penalty | None
) -> tuple[Whole, Whole]:
    """Whether each two of these items clash, as 0 or 1, and the penalty of that."""
    due = np.array([inst.dues[i] for i in items])
    apart = np.abs(due[:, None] - due[None, :])
    undated = [k for k, i in enumerate(items) if i in inst.undated]
    apart[undated, :] = apart[:, undated] = 0.0
    clash = apart < gap - EPS
    if inst.risky:
        kinds = np.array([inst.kinds[i] for i in items])
        most = 1 + max(int(kinds.max(initial=0)), *(max(pair) for pair in inst.risky))
        risky = np.zeros((most, most), dtype=bool)
        risky[tuple(zip(*inst.risky, strict=True))] = True
        clash |= risky[np.ix_(kinds, kinds)]
    weight = np.zeros(clash.shape, dtype=np.int64)
    if penalty:
        days, which = np.unique(np.floor(apart[clash] + EPS), return_inverse=True)
        weight[clash] = np.array([penalty(int(d)) for d in days], dtype=np.int64)[which]
    return clash.astype(np.int64), weight
