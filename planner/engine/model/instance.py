"""The instance of an assignment problem: items with dues, to be put on nodes with neighbours."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import networkx as nx
import numpy as np
import numpy.typing as npt

from planner.engine.model.clique_cover import Node as Node  # every other module takes it from here
from planner.engine.model.clique_cover import edge_clique_cover
from planner.engine.model.coming import Coming as Coming
from planner.engine.model.coming import first_of
from planner.engine.model.neighbour_pairs import Whole, among, ends_of
from planner.engine.model.traversal import walk

SpotOf = dict[int, Node]
EPS = 1e-6  # days; two dues closer than this are one
SAME = 2 * EPS  # so two gaps, differences of two dues each, are one when closer than this
TENTHS = 10  # chances of a node's being free are whole tenths


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
        Items (not pinned) that may stay on a node of their own. It is open to nobody else, unless it is one
        of ``open_nodes``: then others may have it when the item has left.
    barred
        Those of ``homes`` that must leave it if at all possible.
    soft
        Those of ``pinned`` that will be moved later. A pair of one of them and one that stays beside it is
        pending, and no clash.
    price
        What it costs to move an item from its home, where that is not 1.
    kinds, risky
        Kind of each item, and pairs of kinds (both ways round) that clash whatever their dues; empty when
        only dates count.
    undated
        Items that may be due on any day. Their dues mean nothing: no gap is known to anybody, and it counts
        as none. They share one due and have a kind of their own, which is at risk with every kind.
    open_nodes
        Nodes anybody may be given.
    exclusive
        Sets of nodes of which only one may be taken: clips need their width.
    vacated
        Item → day by which its node is surely free again; empty when that is of no interest.
    coming
        Items to come, for whom nodes should be reserved.
    vacancy_chance
        (Pinned item, which of those to come) -> chance in tenths that its node is free when it is wanted;
        those not listed count as never free.
    reserved_beside, reserved_gap
        Node → (due, kind) of those for whom a node beside it is reserved: who hangs there keeps
        ``reserved_gap`` days from them.
    reserved_from
        Node → day from which it is reserved: who is hung there has left by then.
    """

    graph: nx.Graph[Any]
    dues: tuple[float, ...]
    pinned: Mapping[int, Node]
    open_nodes: tuple[Node, ...]
    homes: Mapping[int, Node] = field(default_factory=dict)
    barred: frozenset[int] = frozenset()
    soft: frozenset[int] = frozenset()
    kinds: tuple[int, ...] = ()
    risky: frozenset[tuple[int, int]] = frozenset()
    undated: frozenset[int] = frozenset()
    price: Mapping[int, int] = field(default_factory=dict)
    exclusive: tuple[tuple[Node, ...], ...] = ()
    vacated: tuple[float, ...] = ()
    coming: tuple[Coming, ...] = ()
    vacancy_chance: Mapping[tuple[int, int], int] = field(default_factory=dict)
    reserved_beside: Mapping[Node, tuple[tuple[float, int], ...]] = field(default_factory=dict)
    reserved_gap: float = 0.0
    reserved_from: Mapping[Node, float] = field(default_factory=dict)

    @cached_property
    def free_items(self) -> tuple[int, ...]:
        """Items whose node is to be decided."""
        return tuple(i for i in range(len(self.dues)) if i not in self.pinned)

    @cached_property
    def cover(self) -> list[list[Node]]:
        """Cliques that cover every pair of neighbours."""
        return edge_clique_cover(self.graph)

    @cached_property
    def walked(self) -> list[Node]:
        """The open nodes, in an order in which neighbours come soon after one another."""
        return walk(self.graph, self.open_nodes)

    @cached_property
    def pinned_at(self) -> dict[Node, int]:
        """Node → the pinned item on it."""
        return {node: item for item, node in self.pinned.items()}

    @cached_property
    def home_of(self) -> dict[Node, int]:
        """Node → the item whose home it is."""
        return {node: item for item, node in self.homes.items()}

    @cached_property
    def excludes(self) -> dict[Node, set[Node]]:
        """Node → the others that may not be taken beside it."""
        found: dict[Node, set[Node]] = {}
        for group in self.exclusive:
            for node in group:
                found.setdefault(node, set()).update(group)
        for node, others in found.items():
            others.discard(node)
        return found

    @cached_property
    def first_of(self) -> tuple[int, ...]:
        """Of each of those to come, the first that stands for the same items."""
        return first_of(self.coming)

    @cached_property
    def to_come(self) -> int:
        """How many are to come, in tenths."""
        return TENTHS * sum(c.count for k, c in enumerate(self.coming) if self.first_of[k] == k)

    def with_pinned(self, more: SpotOf) -> Instance:
        """The instance with more items pinned: their nodes, and those too near to them, are open no more.

        Nobody goes home to such a node either; only those pinned at home let be who is too near already.
        """
        shut = set(more.values()).union(*(self.excludes.get(node, ()) for node in more.values()))
        moved = [node for i, node in more.items() if self.homes.get(i) != node]
        gone = set(moved).union(*(self.excludes.get(node, ()) for node in moved))
        homes = {i: node for i, node in self.homes.items() if i not in more and node not in gone}
        open_nodes = tuple(node for node in self.open_nodes if node not in shut)
        return replace(self.with_homes(homes), pinned={**self.pinned, **more}, open_nodes=open_nodes)

    def with_homes(self, homes: SpotOf) -> Instance:
        """The instance in which these have a home, and the others none."""
        return replace(self, homes=homes, barred=self.barred & homes.keys())

    def with_open(self, nodes: Sequence[Node]) -> Instance:
        """The instance with these open nodes only."""
        known = {*nodes, *self.pinned.values(), *self.homes.values()}
        groups = (tuple(node for node in group if node in known) for group in self.exclusive)
        return replace(
            self,
            graph=among(self.graph, known),
            open_nodes=tuple(nodes),
            exclusive=tuple(group for group in groups if len(group) > 1),
        )

    def price_of(self, item: int) -> int:
        """What it costs to move an item."""
        return self.price.get(item, 1)

    @property
    def price_of_all(self) -> int:
        """What it costs to move all that may be moved."""
        return sum(map(self.price_of, self.free_items))

    def pinned_beside(self, node: Node) -> Iterator[int]:
        """The pinned items on the neighbours of a node."""
        return (self.pinned_at[other] for other in self.graph[node] if other in self.pinned_at)

    def vacated_by(self, item: int) -> float:
        """Day by which an item's node is surely free again."""
        return self.vacated[item] if self.vacated else math.inf

    def chance(self, node: Node, k: int) -> int:
        """Chance in tenths that no pinned item has a node any more when ``coming[k]`` want it."""
        return self.vacancy_chance.get((self.pinned_at[node], k), 0) if node in self.pinned_at else TENTHS

    def disturbs_reservation(self, node: Node, due: float, kind: int) -> bool:
        """Whether somebody of that due at ``node`` would clash with a reservation beside it."""
        return any(
            abs(due - d) < self.reserved_gap - EPS or (kind, k) in self.risky
            for d, k in self.reserved_beside.get(node, ())
        )

    def leaves_in_time(self, node: Node, until: float) -> bool:
        """Whether one that hangs at ``node`` until a day has left it before somebody comes for it."""
        return until <= self.reserved_from.get(node, math.inf) + EPS

    def kind(self, item: int) -> int:
        """Kind of an item; 0 where only dates count."""
        return self.kinds[item] if self.kinds else 0

    def gap(self, a: int, b: int) -> float:
        """Days between the dues of two items; none where one may be due on any day."""
        return 0.0 if self.undated & {a, b} else abs(self.dues[a] - self.dues[b])

    def clash(self, a: int, b: int, gap: float) -> bool:
        """Whether two items may not be neighbours: due closer than ``gap`` days, or at risk together."""
        return self.gap(a, b) < gap - EPS or self.at_risk(a, b)

    def at_risk(self, a: int, b: int) -> bool:
        """Whether two items are of kinds that clash whatever their dues."""
        return bool(self.risky) and (self.kinds[a], self.kinds[b]) in self.risky

    @cached_property
    def _due(self) -> npt.NDArray[np.float64]:
        return np.array(self.dues, dtype=float)

    def _apart(self, pairs: Whole) -> npt.NDArray[np.float64]:
        """Days between the dues of each pair; none where one may be due on any day."""
        gaps = np.abs(self._due[pairs[:, 0]] - self._due[pairs[:, 1]])
        return np.where(self._of_undated(pairs), 0.0, gaps) if self.undated else gaps

    def _of_undated(self, pairs: Whole) -> npt.NDArray[np.bool_]:
        """Whether one of each pair may be due on any day."""
        return np.asarray(np.isin(pairs, list(self.undated)).any(axis=1))

    def neighbour_pairs(self, spot_of: SpotOf, *, pinned_too: bool = False) -> list[tuple[int, int]]:
        """Pairs of items that hang on neighbouring nodes; pairs of two pinned items are left out."""
        return _listed(ends_of(self.graph).pairs(spot_of, () if pinned_too else self.pinned))

    def clashes(self, spot_of: SpotOf, gap: float, *, pinned_too: bool = False) -> list[tuple[int, int]]:
        """The neighbour pairs that clash at ``gap`` days."""
        return _listed(self._clashing(spot_of, gap, () if pinned_too else self.pinned))

    def count_clashes(self, spot_of: SpotOf, gap: float) -> int:
        """How many of the neighbour pairs clash at ``gap`` days; pairs of two pinned items are left out."""
        return len(self._clashing(spot_of, gap, self.pinned))

    def _clashing(self, spot_of: SpotOf, gap: float, fixed: Collection[int]) -> Whole:
        pairs = ends_of(self.graph).pairs(spot_of, fixed)
        close = self._apart(pairs) < gap - EPS
        if self.risky:
            close |= np.fromiter((self.at_risk(int(a), int(b)) for a, b in pairs), dtype=bool)
        return pairs[close]

    def closer(self, spot_of: SpotOf, days: float) -> int:
        """How many of the neighbour pairs are due closer than ``days``."""
        pairs = ends_of(self.graph).pairs(spot_of, self.pinned)
        return int(np.count_nonzero(self._apart(pairs) < days - EPS))

    @property
    def only_dates_matter(self) -> bool:
        """Whether clashes are all that keeps items from nodes: no clips' widths and no reservations do."""
        return not (self.exclusive or self.reserved_beside or self.reserved_from)

    def is_clash_free(self, spot_of: SpotOf, gap: float) -> bool:
        """Whether nobody clashes, clips have their width and reservations are left alone."""
        return not self.count_clashes(spot_of, gap) and self.leaves_room(spot_of)

    def leaves_room(self, spot_of: SpotOf) -> bool:
        """Whether clips have their width and reservations are left alone."""
        at = {node: item for item, node in spot_of.items()} if self.excludes else {}
        for node, others in self.excludes.items():
            for other in others if node in at else ():
                # Two whose homes are too close already may stay both.
                if other in at and not all(self.homes.get(at[n]) == n for n in (node, other)):
                    return False
        # Who stays at home may be late to leave it: with what chance was counted when it was reserved.
        return not any(
            self.disturbs_reservation(node, self.dues[i], self.kind(i))
            or not (node == self.homes.get(i) or self.leaves_in_time(node, self.vacated_by(i)))
            for i in self.free_items
            if (node := spot_of[i]) in self.reserved_beside or node in self.reserved_from
        )

    def smallest_gap(self, spot_of: SpotOf) -> float:
        """The smallest gap of the neighbour pairs, days; infinite without any. Undated items have no gap."""
        pairs = ends_of(self.graph).pairs(spot_of, self.pinned)
        if self.undated:
            pairs = pairs[~self._of_undated(pairs)]
        return float(self._apart(pairs).min(initial=math.inf))

    def pending_at_home(self, gap: float) -> dict[int, int]:
        """Item → in how many pending pairs it is while it stays at home, each with a ``soft`` one."""
        found: dict[int, int] = {}
        for i, home in self.homes.items() if self.soft else ():
            if many := sum(j in self.soft and self.clash(i, j, gap) for j in self.pinned_beside(home)):
                found[i] = many
        return found

    def pending(self, spot_of: SpotOf, gap: float) -> int:
        """How many of the pairs closer than the gap are pending: one of them soft, and neither moved."""
        return sum(n for i, n in self.pending_at_home(gap).items() if spot_of[i] == self.homes[i])

    def touched(self, spot_of: SpotOf) -> list[int]:
        """The items that leave their home, or have none."""
        return [i for i in self.free_items if self.homes.get(i) != spot_of[i]]

    def handling(self, spot_of: SpotOf) -> int:
        """The sum of the prices of those who leave their home."""
        return sum(map(self.price_of, self.touched(spot_of)))


def spot_name(node: Node) -> str:
    """What a node is called in a model's variables: place and tag of a spot, else as it prints."""
    place = getattr(node, "place", None)
    return str(node) if place is None else f"{place}:{node.tag}"  # type: ignore[attr-defined]  # then a Spot


def _listed(pairs: Whole) -> list[tuple[int, int]]:
    return [(a, b) for a, b in pairs.tolist()]
