"""Starts for full racks: along the rack, every other spot first, so that neighbours get far dates."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from planner.engine.model import budget
from planner.engine.model.instance import Instance, SpotOf

STEPS = range(2, 9)

Near = Sequence[Sequence[int]]


def ordered_start(inst: Instance, stop: Callable[[], bool] = lambda: False) -> SpotOf:
    """The arrangement with the widest smallest gap among those that follow some order of the spots.

    Everybody is free and no spot is to spare. The rack is walked from many of its spots, in rows (all
    neighbours first) and in depth (on and on). The earliest dates go to one part of the spots, the next dates
    to another, each along the walk: parts are the colours of a greedy colouring, as they come or smallest
    first, or every second, third … spot. Two neighbours are then in different parts, at about the same place
    in each. Paths, rings, meshes, cubes and brushes get their widest gap at once. ``stop`` is asked after
    each order whether to end early.
    """
    nodes = list(inst.open_nodes)
    number = {node: k for k, node in enumerate(nodes)}
    near = [
        [j for other in inst.graph.adj[node] if (j := number[other]) != k] for k, node in enumerate(nodes)
    ]
    items = sorted(inst.free_items, key=lambda i: (inst.dues[i], i))
    dues = [inst.dues[i] for i in items]
    links = [(u, v) for u, others in enumerate(near) for v in others if u < v]
    best: list[int] = list(range(len(nodes)))
    widest = -1.0
    starts = max(1, budget.ORDERINGS // (2 * (len(nodes) + len(links)) * (len(STEPS) + 4)))
    for order in _orders(near, starts):
        if widest >= 0 and stop():
            break
        due_at = [0.0] * len(nodes)
        for k, due in zip(order, dues, strict=True):
            due_at[k] = due
        gap = min((abs(due_at[u] - due_at[v]) for u, v in links), default=0.0)
        if gap > widest:
            best, widest = order, gap
    return {i: nodes[k] for i, k in zip(items, best, strict=True)}


def _orders(near: Near, starts: int) -> Iterator[list[int]]:
    few = [sorted(others, key=lambda j: len(near[j])) for others in near]  # those with few neighbours first
    for k in range(0, len(near), max(1, -(-len(near) // starts))):
        for beside in (near, few):
            for walked in (_walked(beside, k, _in_rows), _walked(beside, k, _in_depth)):
                parts = _coloured(near, walked)
                yield [j for part in parts for j in part]
                if len(parts) > 2:
                    yield [j for part in sorted(parts, key=len) for j in part]
                for step in STEPS:
                    yield [j for first in range(step) for j in walked[first::step]]


def _walked(near: Near, start: int, along: Callable[[Near, int, list[bool]], Iterator[int]]) -> list[int]:
    """All spots from ``start`` on; what does not hang together with it comes afterwards."""
    seen = [False] * len(near)
    walked: list[int] = []
    for k in (start, *range(len(near))):
        if not seen[k]:
            walked += along(near, k, seen)
    return walked


def _in_rows(near: Near, start: int, seen: list[bool]) -> Iterator[int]:
    seen[start] = True
    row = [start]
    while row:
        yield from row
        following = []
        for k in row:
            for j in near[k]:
                if not seen[j]:
                    seen[j] = True
                    following.append(j)
        row = following


def _in_depth(near: Near, start: int, seen: list[bool]) -> Iterator[int]:
    stack = [start]
    while stack:
        k = stack.pop()
        if not seen[k]:
            seen[k] = True
            yield k
            stack += [j for j in reversed(near[k]) if not seen[j]]


def _coloured(near: Near, walked: Sequence[int]) -> list[list[int]]:
    """Spots of each colour, along the walk: each has the first colour that no neighbour has."""
    colour = [-1] * len(near)
    parts: list[list[int]] = []
    for k in walked:
        taken = {colour[j] for j in near[k]}
        c = next(c for c in range(len(parts) + 1) if c not in taken)
        if c == len(parts):
            parts.append([])
        colour[k] = c
        parts[c].append(k)
    return parts
