"""Who must wait until another has left its spot: a graph of steps, and when each step can be done."""

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
class Wanted:
    """One pupa to be brought from one spot to another, between two times."""

    source: Node
    target: Node
    not_before: datetime
    not_after: datetime


@dataclass(frozen=True)
class Bounds:
    """What limits a step: the item last to be firm, and the one first to darken, of all it is tied to."""

    firm: int
    dark: int


@dataclass(frozen=True)
class Precedence:
    """Moves 0…n-1 whose targets are free in the end, but perhaps not yet.

    ``crowds``: node → the others that may not be taken beside it, both ways round.
    """

    wanted: Sequence[Wanted]
    crowds: Mapping[Node, Collection[Node]] = field(default_factory=dict)

    @cached_property
    def _leaving(self) -> Mapping[Node, list[int]]:
        return _by_node([w.source for w in self.wanted])

    @cached_property
    def _arriving(self) -> Mapping[Node, list[int]]:
        return _by_node([w.target for w in self.wanted])

    @cached_property
    def graph(self) -> nx.DiGraph[int]:
        """Items, an edge from each to those who want the spot that it must leave first."""
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from(range(len(self.wanted)))
        for item, want in enumerate(self.wanted):
            for other in self._of(self._leaving, want.target, item):
                graph.add_edge(other, item)
        return graph

    @cached_property
    def rings(self) -> list[list[int]]:
        """Sets of items that all wait for one another, those first for whom others wait."""
        whole = nx.condensation(tied(self.graph))
        members = (sorted(whole.nodes[c]["members"]) for c in nx.topological_sort(whole))
        return [ring for ring in members if len(ring) > 1]

    def around(self, node: Node) -> tuple[Node, ...]:
        """The node and those that may not be taken beside it."""
        return (node, *self.crowds.get(node, ()))

    def _of(self, items: Mapping[Node, list[int]], node: Node, but: int) -> list[int]:
        return [i for near in self.around(node) for i in items.get(near, ()) if i != but]

    def first_to(self, spot: Node) -> bool:
        """Whether anybody can be moved to a spot before all others."""
        near = {i for node in self.around(spot) for i in self._leaving.get(node, ())}
        return not near or (len(near) == 1 and spot not in {self.wanted[i].source for i in near})

    def needs(self, item: int, spot: Node, parked: Parked) -> tuple[set[Step], set[Step]]:
        """Steps to be done before an item is parked on a spot, and those only after it has gone on.

        Others parked there must have gone on before.
        """
        near = self.around(spot)
        before = {(other, 0) for other in self._of(self._leaving, spot, item)}
        before |= {(other, 1) for other, at in parked.items() if other != item and at in near}
        after = {(other, int(other in parked)) for other in self._of(self._arriving, spot, item)}
        return before, after

    def steps(self, parked: Parked) -> nx.DiGraph[Step]:
        """Steps, an edge from each to those that must come later. Of two parked on one spot the first first.

        It has a circle while there are rings of which nobody is parked.
        """
        graph: nx.DiGraph[Step] = nx.DiGraph()
        graph.add_nodes_from((item, 0) for item in range(len(self.wanted)))
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
        """What limits each step, by itself or by those before and after it.

        A parked pupa hangs among any neighbours: all from its first to its last step is done in one go.
        """
        ties = tied(steps)
        ties.add_edges_from(((item, 1), (item, 0)) for item in parked)
        whole = nx.condensation(ties)
        order = list(nx.topological_sort(whole))
        own = {c: [item for item, _ in whole.nodes[c]["members"]] for c in order}
        firm: dict[int, int] = {}
        dark: dict[int, int] = {}
        for c in order:
            known = [firm[p] for p in whole.predecessors(c)]
            firm[c] = max([*own[c], *known], key=lambda i: (self.wanted[i].not_before, -i))
        for c in reversed(order):
            known = [dark[s] for s in whole.successors(c)]
            dark[c] = min([*own[c], *known], key=lambda i: (self.wanted[i].not_after, i))
        group = whole.graph["mapping"]
        alone = {step: Bounds(step[0], step[0]) for step in steps if step not in group}
        return alone | {step: Bounds(firm[c], dark[c]) for step, c in group.items()}

    def window(self, bounds: Bounds) -> tuple[datetime, datetime]:
        """Between which times a step can be done; the second may be earlier than the first."""
        return self.wanted[bounds.firm].not_before, self.wanted[bounds.dark].not_after

    def late(self, steps: nx.DiGraph[Step], parked: Parked, now: datetime) -> dict[Step, Bounds]:
        """Steps for which there is no time left."""
        found = {}
        for step, bounds in self.bounds(steps, parked).items():
            start, end = self.window(bounds)
            if max(start, now) > end:
                found[step] = bounds
        return found


def tied(graph: nx.DiGraph[Any]) -> nx.DiGraph[Any]:
    """What of a graph is tied to anything: usually little of it."""
    tied: nx.DiGraph[Any] = nx.DiGraph()
    tied.add_edges_from(graph.edges)
    return tied


def _by_node(nodes: Sequence[Node]) -> Mapping[Node, list[int]]:
    found: defaultdict[Node, list[int]] = defaultdict(list)
    for item, node in enumerate(nodes):
        found[node].append(item)
    return found
