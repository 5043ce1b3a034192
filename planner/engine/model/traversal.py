"""An order of nodes in which neighbours come soon after one another."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

import networkx as nx

from planner.engine.model.clique_cover import Node


def walk(graph: nx.Graph[Node], nodes: Iterable[Node]) -> list[Node]:
    """``nodes`` in an order in which neighbours come soon after one another (reverse Cuthill-McKee).

    Notes
    -----
    As networkx has it (``reverse_cuthill_mckee_ordering``), which takes a view of each component and so five
    times as long on racks of many lines.

    References
    ----------
    E. Cuthill, J. McKee, "Reducing the bandwidth of sparse symmetric matrices", Proc. 24th Nat. Conf. ACM
    (1969) 157-172, as named in the documentation of networkx.
    """
    listed = list(nodes)
    number = {node: k for k, node in enumerate(listed)}
    near = [
        [j for other in graph.adj[node] if (j := number.get(other, k)) != k] for k, node in enumerate(listed)
    ]
    if not any(near):
        return listed
    seen = [False] * len(listed)
    order: list[int] = []
    for k in range(len(listed)):
        if not seen[k]:
            order += _along(near, _end(near, k), seen)
    return [listed[k] for k in reversed(order)]


def _along(near: list[list[int]], start: int, seen: list[bool]) -> Iterator[int]:
    """All that hang together with ``start``, nearest first, of equals those with few neighbours first."""
    seen[start] = True
    queue = deque([start])
    while queue:
        k = queue.popleft()
        yield k
        more = [j for j in near[k] if not seen[j]]
        more.sort(key=lambda j: len(near[j]))
        for j in more:
            seen[j] = True
        queue.extend(more)


def _end(near: list[list[int]], k: int) -> int:
    """One that is about as far from others as can be: the farthest of the farthest, as long as it grows."""
    length = 0
    while True:
        rows = _rows(near, k)
        if len(rows) <= length:
            return k
        length, k = len(rows), min(rows[-1], key=lambda j: len(near[j]))


def _rows(near: list[list[int]], k: int) -> list[list[int]]:
    """Those so many steps away, for each number of steps."""
    seen, rows = {k}, [[k]]
    while True:
        row = []
        for i in rows[-1]:
            for j in near[i]:
                if j not in seen:
                    seen.add(j)
                    row.append(j)
        if not row:
            return rows
        rows.append(row)
