"""Precedence among moves: a graph of steps, an edge where one must come after another, and their times."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any

import networkx as nx

from planner.engine.model.instance import Node

# (item, 0) is its first or only step, (item, 1) the one from where it was parked to its target.
Step = tuple[int, int]
Parked = Mapping[int, Node | None]  # item → where; None: somewhere, in nobody's way


@dataclass(frozen=True)
class Transfer:
    """One item to be brought from one spot to another, between two times."""

    source: Node
    target: Node
    not_before: datetime
    not_after: datetime


@dataclass(frozen=True)
class Bounds:
    """The bounds on the time of a step: of all tied to it, the last item to be firm, the first to darken."""

    firm: int
    dark: int


@dataclass(frozen=True)
class Precedence:
    """The precedence of moves 0…n-1 whose targets are free in the end, but perhaps not yet.

    ``crowds``: node → the others that may not be taken beside it, both ways round.
    """

    transfers: Sequence[Transfer]
    crowds: Mapping[Node, Collection[Node]] = field(default_factory=dict)

    @cached_property
    def _leaving(self) -> Mapping[Node, list[int]]:
        return _by_node([w.source for w in self.transfers])

    @cached_property
    def _arriving(self) -> Mapping[Node, list[int]]:
        return _by_node([w.target for w in self.transfers])

    @cached_property
    def graph(self) -> nx.DiGraph[int]:
        """The graph of items, an edge from each to those who want the spot that it must leave first."""
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from(range(len(self.transfers)))
        for item, transfer in enumerate(self.transfers):
            for other in self._of(self._leaving, transfer.target, item):
                graph.add_edge(other, item)
        return graph

    @cached_property
    def deadlocks(self) -> list[list[int]]:
        """Sets of items that all wait for one another: strongly connected components, in order."""
        whole = nx.condensation(without_isolated(self.graph))
        members = (sorted(whole.nodes[c]["members"]) for c in nx.topological_sort(whole))
        return [deadlock for deadlock in members if len(deadlock) > 1]

    def around(self, node: Node) -> tuple[Node, ...]:
        """The node and those that may not be taken beside it."""
        return (node, *self.crowds.get(node, ()))

    def _of(self, items: Mapping[Node, list[int]], node: Node, but: int) -> list[int]:
        return [i for near in self.around(node) for i in items.get(near, ()) if i != but]

    def first_to(self, spot: Node) -> bool:
        """Whether anybody can be moved to a spot before all others."""
        near = {i for node in self.around(spot) for i in self._leaving.get(node, ())}
        return not near or (len(near) == 1 and spot not in {self.transfers[i].source for i in near})

    def needs(self, item: int, spot: Node, parked: Parked) -> tuple[set[Step], set[Step]]:
        """The steps before an item is parked on a spot, and those only after it has gone on.

        Others parked there must have gone on before.
        """
        near = self.around(spot)
        before = {(other, 0) for other in self._of(self._leaving, spot, item)}
        before |= {(other, 1) for other, at in parked.items() if other != item and at in near}
        after = {(other, int(other in parked)) for other in self._of(self._arriving, spot, item)}
        return before, after

    def steps(self, parked: Parked) -> nx.DiGraph[Step]:
        """The graph of steps, an edge from each to those that must come later.

        Of two parked on one spot the first in ``parked`` comes first.

        It has a cycle while there are deadlocks of which nobody is parked.
        """
        graph: nx.DiGraph[Step] = nx.DiGraph()
        graph.add_nodes_from((item, 0) for item in range(len(self.transfers)))
        graph.add_edges_from(((a, 0), (b, int(b in parked))) for a, b in self.graph.edges)
        graph.add_edges_from(((item, 0), (item, 1)) for item in parked)
        earlier: dict[int, Node | None] = {}
        for item, spot in parked.items():
            if spot is not None:
                before, _ = self.needs(item, spot, earlier)
                _, after = self.needs(item, spot, parked)
                graph.add_edges_from((step, (item, 0)) for step in before)
                graph.add_edges_from(((item, 1), step) for step in after)
                earlier[item] = spot
        return graph

    def bounds(self, steps: nx.DiGraph[Step], parked: Parked) -> dict[Step, Bounds]:
        """What bounds the time of each step, by itself or by those before and after it.

        A parked pupa hangs among any neighbours: all from its first to its last step is done in one go.
        """
        ties = without_isolated(steps)
        ties.add_edges_from(((item, 1), (item, 0)) for item in parked)
        whole = nx.condensation(ties)
        order = list(nx.topological_sort(whole))
        own = {c: [item for item, _ in whole.nodes[c]["members"]] for c in order}
        firm: dict[int, int] = {}
        dark: dict[int, int] = {}
        for c in order:
            known = [firm[p] for p in whole.predecessors(c)]
            firm[c] = max([*own[c], *known], key=lambda i: (self.transfers[i].not_before, -i))
        for c in reversed(order):
            known = [dark[s] for s in whole.successors(c)]
            dark[c] = min([*own[c], *known], key=lambda i: (self.transfers[i].not_after, i))
        group = whole.graph["mapping"]
        alone = {step: Bounds(step[0], step[0]) for step in steps if step not in group}
        return alone | {step: Bounds(firm[c], dark[c]) for step, c in group.items()}

    def window(self, bounds: Bounds) -> tuple[datetime, datetime]:
        """The earliest and the latest time of a step; the second may be before the first."""
        return self.transfers[bounds.firm].not_before, self.transfers[bounds.dark].not_after

    def late(self, steps: nx.DiGraph[Step], parked: Parked, now: datetime) -> dict[Step, Bounds]:
        """The steps for which there is no time left."""
        found = {}
        for step, bounds in self.bounds(steps, parked).items():
            start, end = self.window(bounds)
            if max(start, now) > end:
                found[step] = bounds
        return found


def without_isolated(graph: nx.DiGraph[Any]) -> nx.DiGraph[Any]:
    """The graph without its isolated nodes, which are most of it as a rule."""
    kept: nx.DiGraph[Any] = nx.DiGraph()
    kept.add_edges_from(graph.edges)
    return kept


def _by_node(nodes: Sequence[Node]) -> Mapping[Node, list[int]]:
    found: defaultdict[Node, list[int]] = defaultdict(list)
    for item, node in enumerate(nodes):
        found[node].append(item)
    return found
