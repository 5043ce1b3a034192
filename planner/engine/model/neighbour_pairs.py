"""Pairs of items on neighbouring nodes, as arrays: for racks of thousands."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from weakref import WeakKeyDictionary

import networkx as nx
import numpy as np
import numpy.typing as npt

from planner.engine.model.clique_cover import Node

Whole = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Ends:
    """The edges of a graph: node → its number, and the numbers of the two ends of each edge."""

    number: Mapping[Node, int]
    left: Whole
    right: Whole

    def pairs(self, spot_of: Mapping[int, Node], staying: Collection[int] = ()) -> Whole:
        """The pairs of items on neighbouring nodes, shape (pairs, 2), without pairs of two of ``staying``."""
        nowhere = len(self.number)
        at = np.full(nowhere + 1, -1)
        number = self.number
        at[_array(number.get(node, nowhere) for node in spot_of.values())] = _array(spot_of)
        at[nowhere] = -1
        one, other = at[self.left], at[self.right]
        both = (one >= 0) & (other >= 0)
        one, other = one[both], other[both]
        if staying:
            stays = np.zeros(max(spot_of, default=0) + 1, dtype=bool)
            stays[[i for i in staying if i in spot_of]] = True
            decided = ~(stays[one] & stays[other])
            one, other = one[decided], other[decided]
        return np.stack([one, other], axis=1)


_KNOWN: WeakKeyDictionary[nx.Graph[Any], Ends] = WeakKeyDictionary()


def ends_of(graph: nx.Graph[Any]) -> Ends:
    """The edges of a graph, listed once. The graph is frozen: the list would not follow a change."""
    known = _KNOWN.get(graph)
    if known is None:
        nx.freeze(graph)
        number = {node: k for k, node in enumerate(graph)}
        left: list[int] = []
        right: list[int] = []
        for k, (_, beside) in enumerate(graph.adjacency()):  # in the order of graph.edges
            later = [j for other in beside if (j := number[other]) >= k]
            left += [k] * len(later)
            right += later
        known = _KNOWN[graph] = Ends(number, _array(left), _array(right))
    return known


def among(graph: nx.Graph[Node], known: Collection[Node]) -> nx.Graph[Node]:
    """The graph of some nodes alone, in the same order: the graph itself where it has no others.

    A view of networkx, copied, is slow, and its order is that of a set.
    """
    if all(node in known for node in graph):
        return graph
    rest: nx.Graph[Node] = nx.Graph()
    rest.add_nodes_from(node for node in graph if node in known)
    done: set[Node] = set()
    for node in rest:
        done.add(node)
        rest.add_edges_from((node, o) for o in graph.adj[node] if o in known and o not in done)
    return rest


def _array(numbers: Iterable[int]) -> Whole:
    return np.fromiter(numbers, dtype=np.int64)
