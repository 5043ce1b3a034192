"""Simulated annealing for full racks: exchanges of dates until no neighbours are too close."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

import numpy as np

from planner.engine.model import budget
from planner.engine.model.instance import EPS, Instance, SpotOf
from planner.engine.model.tight_nodes import TightNodes

HOT, COLD = 2.0, 0.3  # first and last temperature: times the penalty of one rank
NEAR = 4  # half of the exchanges are with a date at most so many ranks away: they shift, the others mix
GRAIN = 16  # steps of penalty in a rank: so few numbers that the table stays in the processor's cache


def anneal(
    inst: Instance,
    gap: float,
    start: SpotOf,
    seed: int,
    proposals: int,
    stop: Callable[[], bool] = lambda: False,
    most: float = 0,
) -> SpotOf:
    """The widest smallest gap that simulated annealing finds, or fewest neighbours closer than ``gap``.

    Parameters
    ----------
    gap
        Days: the first aim.
    start
        The assignment to begin with; returned itself where there are more than `budget.ANNEALING_MOST` items.
    proposals
        After how many exchanges proposed to end.
    stop
        Asked now and then whether to end early.
    most
        Days. Whenever its aim is reached the search aims a rank higher, as long as that is no more.

    Notes
    -----
    The cost of two neighbours is the *square root* of the ranks by which they are too close: one pair far
    too close costs less than many that are a little too close. So the shortfall gathers in few places, where
    it can be repaired, instead of being spread over the whole rack, where it cannot. Only items that are too
    close to a neighbour are picked; their partners may be any. The temperature falls geometrically with the
    proposals made, so that a run is repeatable. As the aim rises during the run, no time is lost on gaps far
    too wide, nor on ones far too narrow.
    """
    if len(inst.dues) > budget.ANNEALING_MOST or not inst.free_items:
        return start
    state = _State(inst, gap, start)
    best, fewest, reached = state.rank[:], sum(state.bad), False
    rng, done = random.Random(seed), 0
    while done < proposals and not stop():
        if state.tight:
            state.exchange(rng.random, HOT * (COLD / HOT) ** (done / proposals))
            done += budget.ANNEALING_ROUND
        if not state.tight or (not reached and sum(state.bad) < fewest):
            best, fewest, reached = state.rank[:], sum(state.bad), reached or not state.tight
        if not state.tight:
            gap = inst.smallest_gap(state.spot_of(best))
            if gap >= most - EPS:
                break
            state.aim(min(gap + state.unit, most))
    return state.spot_of(best)


class _State(TightNodes):
    """Nodes as numbers, items as ranks by due; a pinned item is never picked nor taken as partner."""

    def __init__(self, inst: Instance, gap: float, start: SpotOf):
        self.items = sorted(start, key=lambda i: inst.dues[i])
        self.nodes = [start[i] for i in self.items]
        n, index = len(self.nodes), {node: k for k, node in enumerate(self.nodes)}
        self.free = [i not in inst.pinned for i in self.items]  # of node and rank alike
        self.near: list[list[int]] = [[] for _ in self.nodes]
        for u, v in inst.graph.edges:
            if u in index and v in index and (self.free[index[u]] or self.free[index[v]]):
                self.near[index[u]].append(index[v])
                self.near[index[v]].append(index[u])
        self.beside = [set(near) for near in self.near]
        due = np.array([inst.dues[i] for i in self.items])
        self.unit = (due[-1] - due[0]) / (n - 1) if n > 1 and due[-1] > due[0] else 1.0  # days in a rank
        self.apart = np.abs(due[:, None] - due[None, :])
        self.rank = list(range(n))  # of the item on each node
        self.node_at = list(range(n))
        self.aim(gap)

    def spot_of(self, rank: Sequence[int]) -> SpotOf:
        return {self.items[r]: node for node, r in zip(self.nodes, rank, strict=True)}

    def aim(self, gap: float) -> None:
        """Make the penalties those of another gap."""
        lack = np.ceil((gap - EPS - self.apart) * (GRAIN / self.unit)).clip(0).astype(np.intp)
        # Equal numbers are one object.
        roots = np.array([math.sqrt(k / GRAIN) for k in range(int(lack.max()) + 1)], dtype=object)
        cost: list[list[float]] = roots[lack].tolist()
        self.cost = cost
        tight = [sum(cost[r][self.rank[w]] > 0 for w in self.near[v]) for v, r in enumerate(self.rank)]
        super().__init__(tight, self.free)

    def exchange(self, rand: Callable[[], float], heat: float) -> None:
        """Propose exchanges at one temperature: the hot loop, so what is refused costs no call."""
        rank, node_at, near, cost, tight = self.rank, self.node_at, self.near, self.cost, self.tight
        n, span, bad = len(rank), 2 * NEAR + 1, self.bad
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
                for v, was, now, other in ((i, at_a, at_b, j), (j, at_b, at_a, i)):
                    for w in near[v]:
                        if w != other:
                            r = rank[w]
                            if (now[r] > 0) is not (was[r] > 0):
                                more = 1 if now[r] > 0 else -1
                                bad[v] += more
                                bad[w] += more
                                self.sort_in(w)
                rank[i], rank[j], node_at[a], node_at[b] = b, a, j, i
                self.sort_in(i)
                self.sort_in(j)
                if not tight:
                    return
