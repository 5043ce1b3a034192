"""A walk along the rack."""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx

from planner.plan.cliques import Node


def walk(graph: nx.Graph[Node], nodes: Iterable[Node]) -> list[Node]:
    """``nodes`` in an order in which neighbours come soon after one another (reverse Cuthill-McKee)."""
    listed = list(nodes)
    number = {node: k for k, node in enumerate(listed)}
    sub: nx.Graph[int] = nx.Graph()  # not a view: those are slow, and their order is not always the same
    sub.add_nodes_from(range(len(listed)))
    for k, node in enumerate(listed):
        sub.add_edges_from((k, j) for other in graph.adj[node] if (j := number.get(other, -1)) > k)
    if sub.number_of_edges() == 0:
        return listed
    return [listed[k] for k in nx.utils.reverse_cuthill_mckee_ordering(sub)]
