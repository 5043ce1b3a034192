"""What is to be decided, stripped of all a solver need not know: items with dues, nodes with neighbours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import networkx as nx

from planner.plan.cliques import Node as Node  # every other module takes it from here
from planner.plan.cliques import edge_clique_cover

SpotOf = dict[int, Node]
EPS = 1e-6  # days; two dues closer than this are one


@dataclass(frozen=True)
class Instance:
    """Items 0…n-1 with a due each, to be put on the nodes of a neighbour graph, one per node.

    Parameters
    ----------
    graph
        Spots, an edge between neighbours.
    dues
        Days, one per item.
    pinned
        Items that stay on their node whatever happens.
    homes
        Items (not pinned) that may stay on a node of their own, which is open to nobody else.
    barred
        Those of ``homes`` that must leave it if at all possible.
    kinds, risky
        Kind of each item, and pairs of kinds (both ways round) that clash whatever their dues; empty when
        only dates count.
    open_nodes
        Nodes anybody may be given.
    """

    graph: nx.Graph[Any]
    dues: tuple[float, ...]
    pinned: Mapping[int, Node]
    open_nodes: tuple[Node, ...]
    homes: Mapping[int, Node] = field(default_factory=dict)
    barred: frozenset[int] = frozenset()
    kinds: tuple[int, ...] = ()
    risky: frozenset[tuple[int, int]] = frozenset()

    @cached_property
    def free_items(self) -> tuple[int, ...]:
        """Items whose node is to be decided."""
        return tuple(i for i in range(len(self.dues)) if i not in self.pinned)

    @cached_property
    def cover(self) -> list[list[Node]]:
        """Cliques that cover every pair of neighbours."""
        return edge_clique_cover(self.graph)

    @cached_property
    def held(self) -> dict[Node, int]:
        """Node → the pinned item on it."""
        return {node: item for item, node in self.pinned.items()}

    @cached_property
    def home_of(self) -> dict[Node, int]:
        """Node → the item whose home it is."""
        return {node: item for item, node in self.homes.items()}

    def gap(self, a: int, b: int) -> float:
        """Days between the dues of two items."""
        return abs(self.dues[a] - self.dues[b])

    def clash(self, a: int, b: int, gap: float) -> bool:
        """Whether two items may not be neighbours: due closer than ``gap`` days, or at risk together."""
        return self.gap(a, b) < gap - EPS or self.at_risk(a, b)

    def at_risk(self, a: int, b: int) -> bool:
        """Whether two items are of kinds that clash whatever their dues."""
        return bool(self.risky) and (self.kinds[a], self.kinds[b]) in self.risky

    def neighbour_pairs(self, spot_of: SpotOf) -> list[tuple[int, int]]:
        """Pairs of items that hang on neighbouring nodes; pairs of two pinned items are left out."""
        at = {node: item for item, node in spot_of.items()}
        return [
            (at[u], at[v])
            for u, v in self.graph.edges
            if u in at and v in at and not (at[u] in self.pinned and at[v] in self.pinned)
        ]

    def clashes(self, spot_of: SpotOf, gap: float) -> list[tuple[int, int]]:
        """Those of the neighbour pairs that clash."""
        return [p for p in self.neighbour_pairs(spot_of) if self.clash(*p, gap)]

    def smallest_gap(self, spot_of: SpotOf) -> float:
        """Smallest gap among the neighbour pairs, infinite when there are none."""
        return min((self.gap(*p) for p in self.neighbour_pairs(spot_of)), default=float("inf"))

    def touched(self, spot_of: SpotOf) -> list[int]:
        """Items that leave their home."""
        return [i for i in self.free_items if self.homes.get(i) != spot_of[i]]
