"""Nodes so near to one another that only one can be taken, as one: a smaller question, and a bound."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

import networkx as nx

from planner.engine.model.clique_cover import edge_clique_cover
from planner.engine.model.instance import Instance, Node


@dataclass(frozen=True)
class Stretches:
    """Stretches of nodes, such as two inches of yarn.

    Attributes
    ----------
    parts
        The nodes of each.
    """

    parts: tuple[tuple[Node, ...], ...]

    @classmethod
    def along(cls, nodes: Sequence[Node], apart: nx.Graph[Any], longest: int, first: int) -> Stretches:
        """Stretches of up to ``longest`` nodes, taken in order; on each line the first has up to ``first``.

        ``apart`` joins nodes of which only one may be taken.
        """
        parts: list[list[Node]] = []
        most = first
        for node in nodes:
            if parts and all(other in apart.adj[node] for other in parts[-1]):
                if len(parts[-1]) < most:
                    parts[-1].append(node)
                    continue
                most = longest
            else:
                most = first
            parts.append([node])
        return cls(tuple(map(tuple, parts)))

    def among(self, nodes: Collection[Node]) -> Stretches:
        """What is left of them where only some nodes are of interest."""
        left = (tuple(node for node in part if node in nodes) for part in self.parts)
        return Stretches(tuple(part for part in left if part))

    @property
    def first_of(self) -> dict[Node, Node]:
        """Node → the first one of its stretch, which stands for all of it."""
        return {node: part[0] for part in self.parts for node in part}

    def instance(self, inst: Instance, apart: nx.Graph[Any]) -> Instance:
        """A relaxation of ``inst``: on each stretch hangs one, and it is not said where.

        Two stretches are neighbours where each node of one is a neighbour of each of the other, so whoever
        hangs there is. The same of ``apart``. What pinned items and reservations forbid is left out.
        """
        graph = self._joined(inst.graph)
        graph.add_nodes_from(inst.pinned.values())
        exclusive = edge_clique_cover(among) if (among := self._joined(apart)).edges else ()
        return replace(
            inst,
            graph=graph,
            open_nodes=tuple(part[0] for part in self.parts),
            exclusive=tuple(map(tuple, exclusive)),
            reserved_beside={},
            reserved_from={},
        )

    def _joined(self, graph: nx.Graph[Any]) -> nx.Graph[Any]:
        first, size = self.first_of, {part[0]: len(part) for part in self.parts}
        many = Counter(
            (one, first[near]) for node, one in first.items() for near in graph.adj[node] if near in first
        )
        found: nx.Graph[Any] = nx.Graph()
        found.add_nodes_from(size)
        found.add_edges_from((a, b) for (a, b), n in many.items() if a != b and n == size[a] * size[b])
        return found
