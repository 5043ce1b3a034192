"""Construction of a start without a solver: a greedy assignment, fullest run of dates first."""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Collection, Sequence

from planner.engine.model.due_classes import DueClasses, due_classes
from planner.engine.model.instance import Instance, Node, SpotOf


def construct(inst: Instance, gap: float, staying: Collection[int] | None = None) -> SpotOf:
    """An assignment with few clashes at ``gap`` days (often none), in about linear time.

    ``staying``: who is to stay at home, if that is known; nobody else then stays who finds a spot.

    Homes first: whoever clashes with nobody already fixed stays, and whoever is dear to move. Then along
    the spots in their order, a spot takes, of the classes no neighbour forbids, one of the run of mutually
    clashing classes with most items still to hang: the fullest run is the bottleneck. Who is left over takes
    the least bad of the spots left, or stays.
    """
    state = _State(inst, due_classes(inst, gap))
    for item in sorted(
        inst.homes if staying is None else staying,
        key=lambda i: (i not in inst.price, inst.graph.degree(inst.homes[i]), i),
    ):
        home, dear = inst.homes[item], item in inst.price
        if dear or not (
            item in inst.barred
            or state.conflicts(home, state.classes.of[item])
            or inst.disturbs_reservation(home, inst.dues[item], inst.kind(item))
        ):
            state.put(item, home)
    state.queue_rest()
    order = inst.walked
    for node in order:
        if state.is_free(node) and (c := state.best_class(node)) is not None:
            state.put(state.unplaced[c].pop(), node)
    reserved = inst.reserved_from.keys() | (inst.reserved_beside.keys() if inst.reserved_from else ())
    spare = [node for node in order if node not in state.class_at and node not in reserved]
    conflicts = _Conflicts(state)
    for c, items in enumerate(state.unplaced):
        if items:
            conflicts.turn_to(c)
            _put_leftover(state, c, items, spare, conflicts)
            spare = [node for node in spare if node not in state.class_at]
    return state.spot_of


def _put_leftover(
    state: _State, c: int, items: Sequence[int], spare: Sequence[Node], conflicts: _Conflicts
) -> None:
    """Items of one class that found no good spot: each to the least bad one, free of other clips if possible.

    As more are hung a spot only gets worse, so the best is the first whose conflicts are still as noted.
    """
    inst = state.inst
    heaps: tuple[list[tuple[int, int]], list[tuple[int, int]]] = ([], [])  # unblocked, blocked
    for k, node in enumerate(spare):
        heaps[node in state.blocked].append((conflicts.at[node], k))
    for heap in heaps:
        heapq.heapify(heap)

    def best(blocked: bool) -> Node | None:
        heap = heaps[blocked]
        while heap:
            noted, k = heap[0]
            node = spare[k]
            if (now := conflicts.at[node]) > noted:
                heapq.heapreplace(heap, (now, k))
            elif node in state.blocked and not blocked:
                heapq.heappush(heaps[True], heapq.heappop(heap))
            elif node in state.class_at or state.is_anothers(node):
                heapq.heappop(heap)
            else:
                return node
        return None

    for item in items:
        free = best(False)
        if item in inst.homes and (item not in inst.barred or free is None):
            spot: Node | None = inst.homes[item]
        else:
            spot = best(True) if free is None else free
            assert spot is not None  # there are no more items than nodes
        state.put(item, spot)
        conflicts.occupy(spot, c)


class _Conflicts:
    """Of each node, with how many of its neighbours one of the class in turn clashes.

    From one class to the next few come to clash and few no longer do, so all turns together take about as
    long as one look at all neighbours.
    """

    def __init__(self, state: _State):
        self.graph, self.near_of = state.inst.graph, state.classes.near
        self.near: set[int] = set()  # the classes that clash with the one in turn
        self.nodes_of: list[list[Node]] = [[] for _ in state.classes.members]
        for node, c in state.class_at.items():
            self.nodes_of[c].append(node)
        self.at: Counter[Node] = Counter()

    def turn_to(self, c: int) -> None:
        """Count for another class."""
        near = set(self.near_of[c])
        for d in near ^ self.near:
            for node in self.nodes_of[d]:
                self._count(node, 1 if d in near else -1)
        self.near = near

    def occupy(self, node: Node, c: int) -> None:
        """One of class ``c`` hangs there now."""
        self.nodes_of[c].append(node)
        if c in self.near:
            self._count(node, 1)

    def _count(self, node: Node, change: int) -> None:
        at = self.at
        for other in self.graph.adj[node]:
            at[other] += change


class _State:
    def __init__(self, inst: Instance, classes: DueClasses):
        self.inst, self.classes = inst, classes
        self.spot_of: SpotOf = dict(inst.pinned)
        self.class_at: dict[Node, int] = {}
        self.blocked: set[Node] = set()  # next to a clip, nearer than its width
        for item, node in inst.pinned.items():
            self.occupy(node, classes.of[item])
        self.unplaced: list[list[int]] = [[] for _ in classes.members]
        self.run_load = [0] * len(classes.runs)
        self.runs_of: list[list[int]] = [[] for _ in classes.members]
        for r, run in enumerate(classes.runs):
            for c in run:
                self.runs_of[c].append(r)

    def queue_rest(self) -> None:
        self.run_load = [0] * len(self.classes.runs)  # who stays is no load any more
        for c, items in enumerate(self.classes.members):
            self.unplaced[c] = [i for i in reversed(items) if i not in self.spot_of]
            for r in self.runs_of[c]:
                self.run_load[r] += len(self.unplaced[c])

    def conflicts(self, node: Node, c: int) -> int:
        near = self.classes.near[c]
        return sum(self.class_at.get(other, -1) in near for other in self.inst.graph[node])

    def is_free(self, node: Node) -> bool:
        return node not in self.class_at and node not in self.blocked and not self.is_anothers(node)

    def is_anothers(self, node: Node) -> bool:
        """Whether it is the home of one who may yet have to stay there."""
        owner = self.inst.home_of.get(node)
        return owner is not None and owner not in self.spot_of

    def best_class(self, node: Node) -> int | None:
        inst = self.inst
        reserved = node in inst.reserved_beside or node in inst.reserved_from
        shut = self.shut_by_reservations(node) if reserved else set()
        for other in inst.graph[node]:
            if (c := self.class_at.get(other)) is not None:
                shut.update(self.classes.near[c])
        able = [c for c, items in enumerate(self.unplaced) if items and c not in shut]
        return max(able, key=self.urgency, default=None)

    def shut_by_reservations(self, node: Node) -> set[int]:
        """Classes that would disturb a reservation of a node, or beside it."""
        inst, classes = self.inst, self.classes
        each = enumerate(zip(classes.dues, classes.members, strict=True))
        return {
            c
            for c, (due, items) in each
            if inst.disturbs_reservation(node, due, inst.kind(items[0]))
            or not inst.leaves_in_time(node, max(map(inst.vacated_by, items)))
        }

    def urgency(self, c: int) -> tuple[int, int, int]:
        load = max((self.run_load[r] for r in self.runs_of[c]), default=0)
        return load, len(self.unplaced[c]), -c

    def occupy(self, node: Node, c: int) -> None:
        """Take a node, and block those that nobody may take beside it."""
        self.class_at[node] = c
        self.blocked |= self.inst.excludes.get(node, set())

    def put(self, item: int, node: Node) -> None:
        c = self.classes.of[item]
        self.spot_of[item] = node
        self.occupy(node, c)
        for r in self.runs_of[c]:
            self.run_load[r] -= 1
