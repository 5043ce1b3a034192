"""Simulated annealing for full racks: exchanges of dates until no neighbours are too close."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import numpy as np

from planner.engine.model import budget
from planner.engine.model.instance import EPS, Instance, SpotOf
from planner.engine.model.tight_nodes import TightNodes

HOT, COLD = 0.6, 0.25  # first temperature: times the penalty of no gap at all; last: times that of one rank
NEAR = 4  # half of the exchanges are with a date at most so many ranks away: they shift, the others mix


def anneal(
    inst: Instance,
    gap: float,
    start: SpotOf,
    seed: int,
    proposals: int,
    stop: Callable[[], bool] = lambda: False,
) -> SpotOf:
    """The assignment with fewest neighbours closer than ``gap`` that simulated annealing finds.

    Parameters
    ----------
    gap
        Days.
    start
        The assignment to begin with; returned itself where there are more than `budget.ANNEALING_MOST` items.
    proposals
        After how many exchanges proposed to end, if no neighbours are too close.
    stop
        Asked now and then whether to end early.

    Notes
    -----
    The cost of two neighbours is the *square root* of the ranks by which they are too close: one pair far
    too close costs less than many that are a little too close. So the shortfall gathers in few places, where
    it can be repaired, instead of being spread over the whole rack, where it cannot. Only items that are too
    close to a neighbour are picked; their partners may be any. The temperature falls geometrically with the
    proposals made, so that a run is repeatable.
    """
    if len(inst.dues) > budget.ANNEALING_MOST or not inst.free_items:
        return start
    state = _State(inst, gap, start)
    best, fewest = state.rank[:], sum(state.bad)
    rng = random.Random(seed)
    hot, done = max(HOT * state.worst, COLD), 0
    while state.tight and done < proposals and not stop():
        state.exchange(rng.random, hot * (COLD / hot) ** (done / proposals))
        done += budget.ANNEALING_ROUND
        if sum(state.bad) < fewest:
            best, fewest = state.rank[:], sum(state.bad)
    return {state.items[r]: node for node, r in zip(state.nodes, best, strict=True)}


class _State(TightNodes):
    """Nodes as numbers, items as ranks by due; a pinned item is never picked nor taken as partner."""

    def __init__(self, inst: Instance, gap: float, start: SpotOf):
        self.items = sorted(start, key=lambda i: inst.dues[i])
        self.nodes = [start[i] for i in self.items]
        n, index = len(self.nodes), {node: k for k, node in enumerate(self.nodes)}
        free = [i not in inst.pinned for i in self.items]  # of node and rank alike
        self.near: list[list[int]] = [[] for _ in self.nodes]
        for u, v in inst.graph.edges:
            if u in index and v in index and (free[index[u]] or free[index[v]]):
                self.near[index[u]].append(index[v])
                self.near[index[v]].append(index[u])
        self.beside = [set(near) for near in self.near]
        due = np.array([inst.dues[i] for i in self.items])
        unit = (due[-1] - due[0]) / (n - 1) if n > 1 and due[-1] > due[0] else 1.0  # days in a rank
        self.worst = math.sqrt(gap / unit)
        apart = np.abs(due[:, None] - due[None, :])
        costs = np.sqrt(np.where(apart < gap - EPS, gap - apart, 0.0) / unit)
        one: dict[float, float] = {}  # equal numbers are one object: the table stays in the processor's cache
        self.cost = [[one.setdefault(c, c) for c in row] for row in costs.tolist()]
        self.rank = list(range(n))  # of the item on each node
        self.node_at = list(range(n))
        super().__init__([sum(self.cost[v][w] > 0 for w in self.near[v]) for v in range(n)], free)

    def exchange(self, rand: Callable[[], float], heat: float) -> None:
        """Propose exchanges at one temperature: the hot loop, so what is refused costs no call."""
        rank, node_at, near, cost, tight = self.rank, self.node_at, self.near, self.cost, self.tight
        n, span = len(rank), 2 * NEAR + 1
        for _ in range(budget.ANNEALING_ROUND):
            i = tight[int(rand() * len(tight))]
            a = rank[i]
            b = a + int(rand() * span) - NEAR if rand() < 0.5 else int(rand() * n)
            if a == b or not 0 <= b < n or not self.free[j := node_at[b]]:
                continue
            at_a, at_b = cost[a], cost[b]
            change = 0.0
            for w in near[i]:
                r = rank[w]
                change += at_b[r] - at_a[r]
            for w in near[j]:
                r = rank[w]
                change += at_a[r] - at_b[r]
            if j in self.beside[i]:  # as neighbours of one another they stay as far apart as they were
                change += 2 * (at_a[b] - at_a[a])
            if change <= 0 or rand() < math.exp(-change / heat):
                self.move(i, a, b, j)
                self.move(j, b, a, i)
                rank[i], rank[j], node_at[a], node_at[b] = b, a, j, i
                self.sort_in(i)
                self.sort_in(j)
                if not tight:
                    return

    def move(self, v: int, old: int, new: int, other: int) -> None:
        """Count again who is too close to ``v``, leaving out the node it changes places with."""
        was, now = self.cost[old], self.cost[new]
        for w in self.near[v]:
            if w != other:
                r = self.rank[w]
                if change := (now[r] > 0) - (was[r] > 0):
                    self.bad[v] += change
                    self.bad[w] += change
                    self.sort_in(w)
