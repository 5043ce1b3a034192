"""An edge-clique cover of the neighbour graph: fewer and stronger constraints than one per edge."""

from __future__ import annotations

from collections.abc import Hashable
from itertools import islice

import networkx as nx

Node = Hashable


def edge_clique_cover(graph: nx.Graph[Node]) -> list[list[Node]]:
    """Cliques that cover every edge of ``graph``; isolated nodes are left out.

    All maximal cliques where there are at most two per node (lines, boards of moderate reach), which gives
    the tightest linear relaxation; else cliques grown greedily around each edge still uncovered.
    """
    limit = 2 * graph.number_of_nodes() + 8
    maximal = [c for c in islice(nx.find_cliques(graph), limit + 1) if len(c) > 1]
    return maximal if len(maximal) <= limit else _greedy(graph)


def _greedy(graph: nx.Graph[Node]) -> list[list[Node]]:
    covered: set[frozenset[Node]] = set()
    cover: list[list[Node]] = []
    for u, v in graph.edges:
        if frozenset((u, v)) in covered:
            continue
        clique = [u, v]
        candidates = set(graph[u]) & set(graph[v])
        while candidates:
            # The candidate with the most common neighbours left lets the clique grow furthest.
            best = max(candidates, key=lambda w: (len(candidates & set(graph[w])), str(w)))
            clique.append(best)
            candidates &= set(graph[best])
        covered.update(frozenset((a, b)) for i, a in enumerate(clique) for b in clique[:i])
        cover.append(clique)
    return cover
