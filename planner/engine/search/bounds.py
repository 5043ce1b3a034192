"""Bounds on the smallest gap that need no search for it."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import networkx as nx
import numpy as np

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.faults import TooLarge
from planner.engine.model.instance import EPS, Node, spot_name
from planner.engine.model.sized_model import SizedModel
from planner.engine.model.solver import Effort, solve


def stability_bound(nodes: Sequence[Node], cover: Sequence[Sequence[Node]], effort: Effort) -> int:
    """An upper bound on the stability number: how many nodes can be pairwise no neighbours.

    Items that mutually clash must hang on such a set.
    """
    model = SizedModel(effort)
    model.name = "most spots of which no two are neighbours"
    try:
        take = {node: model.new_bool_var(f"take {spot_name(node)}") for node in nodes}
        for clique in cover:
            model.add_at_most_one([take[node] for node in clique])
    except TooLarge:
        return len(nodes)
    model.maximize(cp_model.LinearExpr.sum(list(take.values())))
    bound = solve(model, effort, budget.STABILITY).bound
    return len(nodes) if bound is None else bound


def possible_gaps(dues: Sequence[float], most: int = budget.GAPS) -> list[float]:
    """The values the smallest gap can take, ascending: differences of two dues, and infinite (no neighbours).

    With more than ``most`` distinct dues only about ``most`` of the differences, evenly spread: then the
    widest gap is found to that resolution only.
    """
    distinct = np.unique(np.round(np.asarray(dues, dtype=float), 6))
    if len(distinct) <= most:
        gaps = np.unique(np.round(distinct[:, None] - distinct[None, :], 6))
        return [*gaps[gaps >= 0].tolist(), math.inf]
    steps = np.linspace(0.0, distinct[-1] - distinct[0], most)
    after = np.minimum(np.searchsorted(distinct, distinct[None, :] + steps[:, None] - EPS), len(distinct) - 1)
    gaps = distinct[after] - distinct[None, :]
    gaps[gaps < steps[:, None] - EPS] = math.inf
    return [*np.unique(np.round(gaps.min(axis=1), 6)).tolist(), math.inf]


def widest_below(dues: Sequence[float], gap: float) -> float:
    """The largest difference of two dues smaller than ``gap``, days; `possible_gaps` may have left it out."""
    distinct = np.unique(np.round(np.asarray(dues, dtype=float), 6))
    # Differences are whole millionths of a day: half of one tells those below from the gap itself.
    last = np.searchsorted(distinct, distinct + gap - EPS / 2) - 1
    return float(np.max(distinct[last] - distinct, initial=0.0))


def widest_by_capacity(dues: Sequence[float], stable: int) -> float:
    """The largest gap at which no run of mutually clashing items outnumbers ``stable``; infinite if none can.

    With the gap g > 0 every set of items due within less than g hangs on pairwise non-neighbours.
    """
    ordered = sorted(dues)
    if len(ordered) <= stable:
        return float("inf")
    # stable + 1 items next to one another in date must not all clash: the gap is at most their span.
    return min(ordered[i + stable] - ordered[i] for i in range(len(ordered) - stable))


def widest_by_cliques(dues: Sequence[float], cliques: Sequence[Sequence[Node]], spare: int) -> float:
    """The largest gap at which the largest clique can still be filled; infinite when it may hold at most one.

    With ``spare`` nodes more than items, a clique of q nodes holds q - spare items or more, all apart.
    """
    crowd = max(map(len, cliques), default=0) - spare
    ordered = sorted(dues)
    if crowd < 2:
        return math.inf

    def fits(gap: float) -> bool:
        count, last = 0, -math.inf
        for due in ordered:
            if due - last >= gap - EPS:
                count, last = count + 1, due
        return count >= crowd

    gaps = possible_gaps(ordered)  # the last is infinite, and does not fit
    return widest_below(ordered, gaps[bisect_left(gaps, True, key=lambda gap: not fits(gap))])


def widest_by_strangers(dues: Sequence[float], graph: nx.Graph[Any]) -> float:
    """The largest gap on a full rack whose complement graph is not connected; infinite where it is.

    With a gap wider than each step from one due to the next, items consecutive in date are no neighbours, so
    that the complement of the neighbour graph has a Hamiltonian path.
    """
    if not 1 < len(graph) <= budget.COMPLEMENT or nx.is_connected(nx.complement(graph)):
        return math.inf
    return max(b - a for a, b in pairwise(sorted(dues)))
