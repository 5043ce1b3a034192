"""An edge-clique cover of the neighbour graph: fewer and stronger constraints than one per edge."""

from __future__ import annotations

from collections.abc import Hashable
from itertools import islice

import networkx as nx

from planner.engine.model import budget

Node = Hashable


def edge_clique_cover(graph: nx.Graph[Node]) -> list[list[Node]]:
    """Cliques that cover every edge of ``graph``; isolated nodes are left out.

    All maximal cliques where there are at most two per node (lines, boards of moderate reach), which gives
    the tightest linear relaxation; else cliques grown greedily around each edge still uncovered. They are
    sought among the nodes' numbers: names in a set come in another order each time the program runs, and then
    a search that is not finished would end in another plan.
    """
    nodes = list(graph)
    number = {node: k for k, node in enumerate(nodes)}
    plain: nx.Graph[int] = nx.Graph()
    plain.add_nodes_from(range(len(nodes)))
    plain.add_edges_from((number[u], number[v]) for u, v in graph.edges)
    limit = budget.CLIQUES_EACH * len(nodes) + 8
    cover = [c for c in islice(nx.find_cliques(plain), limit + 1) if len(c) > 1]
    return [[nodes[k] for k in c] for c in (cover if len(cover) <= limit else _greedy(plain))]


def _greedy(graph: nx.Graph[int]) -> list[list[int]]:
    covered: set[frozenset[int]] = set()
    cover: list[list[int]] = []
    for u, v in graph.edges:
        if frozenset((u, v)) in covered:
            continue
        clique = [u, v]
        candidates = set(graph[u]) & set(graph[v])
        while candidates:
            # The candidate with the most common neighbours left lets the clique grow furthest.
            best = max(candidates, key=lambda w: (len(candidates & set(graph[w])), w))
            clique.append(best)
            candidates &= set(graph[best])
        covered.update(frozenset((a, b)) for i, a in enumerate(clique) for b in clique[:i])
        cover.append(clique)
    return cover
