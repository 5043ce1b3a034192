"""Bounds in about linear time, from how many nodes can be pairwise no neighbours."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from planner.engine.model.instance import EPS, Instance


def largest_stable_by_cliques(inst: Instance) -> int:
    """An upper bound on how many open nodes are pairwise no neighbours: cliques they are parted into.

    Each clique holds one of them at most. They are grown greedily, node by node; with cliques of two this is
    the bound by a maximal matching.
    """
    graph, rest, cliques = inst.graph, set(inst.open_nodes), 0
    for node in inst.open_nodes:
        if node not in rest:
            continue
        cliques += 1
        rest.discard(node)
        able = [other for other in graph.adj[node] if other in rest]
        while able:
            taken = able[0]
            rest.discard(taken)
            able = [other for other in able[1:] if other in graph.adj[taken]]
    return cliques


def fewest_by_capacity(dues: Sequence[float], gap: float, stable: int) -> int:
    """A lower bound on the clashes at ``gap`` days, of at most ``stable`` nodes pairwise no neighbours.

    Of k items that all clash with one another, k - stable pairs are neighbours or more: to take one of each
    pair away leaves no neighbours. Sets of items one after another in date have no pair in common, so their
    numbers add up, and the best sets are found from first to last: b(i) = max(b(i - 1), b(j) + (i - j) -
    stable), where the items from j on before i clash with one another. As b rises by at most 1 with each
    item, the least j is best.
    """
    ordered = sorted(dues)
    best = [0]
    for i, due in enumerate(ordered):
        first = bisect_right(
            ordered, due - gap + EPS, hi=i
        )  # who is due less than gap days before comes after
        best.append(max(best[-1], best[first] + (i + 1 - first) - stable))
    return best[-1]
