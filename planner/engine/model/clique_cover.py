"""An edge-clique cover of the neighbour graph: fewer and stronger constraints than one per edge."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from itertools import islice

import networkx as nx

from planner.engine.model import budget

Node = Hashable


def edge_clique_cover(graph: nx.Graph[Node]) -> list[list[Node]]:
    """Cliques that cover every edge of ``graph``; isolated nodes are left out.

    All maximal cliques where there are at most two per node (lines, boards of moderate reach), which gives
    the tightest linear relaxation; else maximal cliques grown around each edge still uncovered: as large as
    greed makes them, or, where that takes too long because neighbours abound, with as many uncovered edges.
    They are sought among the nodes' numbers: names in a set come in another order each time the program runs,
    and then a search that is not finished would end in another plan.
    """
    nodes = list(graph)
    number = {node: k for k, node in enumerate(nodes)}
    plain: nx.Graph[int] = nx.Graph()
    plain.add_nodes_from(range(len(nodes)))
    plain.add_edges_from((number[u], number[v]) for u, v in graph.edges)
    limit = budget.CLIQUES_EACH * len(nodes) + 8
    cover = [c for c in islice(nx.find_cliques(plain), limit + 1) if len(c) > 1]
    if len(cover) > limit:
        cover = _large(plain) or _few(plain)
    return [[nodes[k] for k in c] for c in cover]


def _large(graph: nx.Graph[int]) -> list[list[int]] | None:
    """Cliques as large as greed makes them; None where that takes too many looks at candidates."""
    near = [set(graph[k]) for k in graph]
    beside = [_mask(others) for others in near]
    uncovered = [set(others) for others in near]
    cover: list[list[int]] = []
    looks = budget.CLIQUE_LOOKS * graph.number_of_edges()
    for u, v in graph.edges:
        if v not in uncovered[u]:
            continue
        clique = [u, v]
        candidates = sorted(near[u] & near[v], reverse=True)
        common = beside[u] & beside[v]
        while candidates:
            looks -= len(candidates)
            # The candidate with the most common neighbours left lets the clique grow furthest.
            best = max(candidates, key=lambda w: (common & beside[w]).bit_count())
            clique.append(best)
            common &= beside[best]
            candidates = [w for w in candidates if w in near[best]]
        if looks < 0:
            return None
        for w in clique:
            uncovered[w].difference_update(clique)
        cover.append(clique)
    return cover


def _few(graph: nx.Graph[int]) -> list[list[int]]:
    """Cliques with as many uncovered edges as can be had at a glance: one look for each member.

    Next comes a node whose edges to all members are uncovered, else one whose edge to the first is.
    """
    beside = [_mask(graph[k]) for k in graph]
    uncovered = beside[:]
    cover: list[list[int]] = []
    for u in graph:
        while uncovered[u]:
            clique, members, common, fresh = [u], 1 << u, beside[u], uncovered[u]
            while common:
                w = ((common & fresh) or (common & uncovered[u]) or common).bit_length() - 1
                clique.append(w)
                members |= 1 << w
                common &= beside[w]
                fresh &= uncovered[w]
            for w in clique:
                uncovered[w] &= ~members
            cover.append(clique)
    return cover


def _mask(numbers: Iterable[int]) -> int:
    """A set of numbers as the bits of one."""
    mask = 0
    for k in numbers:
        mask |= 1 << k
    return mask
