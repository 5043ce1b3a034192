"""Simulated annealing for full racks: a start for gaps the exact model finds nothing at."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

from planner.plan.instance import EPS, Instance, SpotOf
from planner.plan.solving import Effort

HOT, COLD = 0.3, 0.015  # temperatures, as shares of the gap
NEAR = 4  # half of the exchanges are with a date at most so many places away: they shift, the others mix


def anneal(
    inst: Instance,
    gap: float,
    start: SpotOf,
    effort: Effort,
    seconds: float,
    enough: Callable[[], bool] = lambda: False,
) -> SpotOf:
    """Exchange items between nodes so that fewer neighbours are closer than ``gap``, and by less.

    The cost is the sum over neighbour pairs of the days they are too close; the temperature falls
    geometrically with the time spent. Ends early when nothing is too close, or when ``enough`` says so; the
    best found is returned.
    """
    rng = random.Random(effort.seed)
    items = sorted(inst.free_items, key=lambda i: inst.dues[i])
    nodes = [start[i] for i in items]  # node k holds the item of rank k at first
    index = {node: k for k, node in enumerate(nodes)}
    due = [inst.dues[i] for i in items]
    neighbours = [[index[v] for v in inst.graph[node] if v in index] for node in nodes]
    fixed = [[inst.dues[inst.held[v]] for v in inst.graph[node] if v in inst.held] for node in nodes]
    n = len(nodes)
    rank = list(range(n))  # of the item on each node
    node_at = list(range(n))
    least = gap - EPS

    def cost(k: int, r: int, skip: int) -> float:
        here = due[r]
        total = 0.0
        for j in neighbours[k]:
            if j != skip:
                d = abs(due[rank[j]] - here)
                if d < least:
                    total += gap - d
        for other in fixed[k]:
            d = abs(other - here)
            if d < least:
                total += gap - d
        return total

    total = sum(cost(k, rank[k], -1) for k in range(n))
    best, best_rank = total, rank[:]
    left, end = effort.clock.left, effort.clock.left - min(seconds, effort.clock.left)
    span = max(left - end, 1e-9)
    while total > EPS and (left := effort.clock.left) > end and not enough():
        heat = gap * HOT * (COLD / HOT) ** (1 - (left - end) / span)
        for _ in range(2000):
            i = rng.randrange(n)
            a = rank[i]
            b = a + rng.randint(-NEAR, NEAR) if rng.random() < 0.5 else rng.randrange(n)
            if b == a or not 0 <= b < n:
                continue
            j = node_at[b]
            change = cost(i, b, j) + cost(j, a, i) - cost(i, a, j) - cost(j, b, i)
            if change <= 0 or rng.random() < math.exp(-change / heat):
                rank[i], rank[j], node_at[a], node_at[b] = b, a, j, i
                total += change
                if total <= EPS:
                    break
        now = sum(cost(k, rank[k], -1) for k in range(n))
        total = now / 2 if now > EPS else 0.0  # pairs counted twice; summed afresh against drift
        if total < best:
            best, best_rank = total, rank[:]
    found = dict(inst.pinned)
    found.update({items[r]: nodes[k] for k, r in enumerate(best_rank)})
    return found
