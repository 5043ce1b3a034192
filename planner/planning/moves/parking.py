"""Parking: deadlocks among moves are broken by a stay on a spare spot, with the fewest touched twice.

Where items all wait for one another nobody can be first, unless one makes way and is touched twice. So a
smallest feedback vertex set is parked, of those the items that have longest until they darken. Where a spot
chosen for one deadlock leaves none to the next, or asks for more to be parked, all are sought together.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from itertools import islice, permutations
from typing import Any

import networkx as nx

from planner.engine.model import budget
from planner.engine.model.instance import Node
from planner.engine.search.feedback_vertex_set import feedback_vertex_set
from planner.planning.moves.precedence import Precedence, Step

Detour = Callable[[int, Node], Any]  # how far out of the way a spot is for an item; the least is best


def park(
    precedence: Precedence, spare: Sequence[Node], detour: Detour, now: datetime
) -> tuple[dict[int, Node], list[list[int]]]:
    """A spot to park on for as few items as break all deadlocks.

    Parameters
    ----------
    spare
        Nodes on which nobody stays; whether a move takes or leaves them is found out here.

    Returns
    -------
    Item → the node on which it is parked, and the deadlocks for which no node to spare was found.
    """
    if not any(precedence.first_to(spot) for spot in spare):
        return {}, precedence.deadlocks  # nobody can move at all
    parking = _Parking(precedence, spare, detour, now)
    done, stuck = parking.in_turn()
    if stuck or len(done) > sum(map(len, parking.fewest)):
        sets = [list(parking.choices(deadlock)) for deadlock in precedence.deadlocks]
        smallest = [[one for one in those if len(one) == min(map(len, those))] for those in sets]
        for allowed in (smallest, sets):
            together = parking.together(allowed)
            if together is not None and (stuck or len(together) < len(done)):
                return together, []
    return done, stuck


@dataclass(frozen=True, eq=False)
class _Parking:
    """Who is to be parked where; attributes as the parameters of `park`."""

    precedence: Precedence
    spare: Sequence[Node]
    detour: Detour
    now: datetime

    @cached_property
    def fewest(self) -> list[list[int]]:
        """Of each deadlock the fewest items that break it."""
        return [self._fewest(deadlock) or deadlock[1:] for deadlock in self.precedence.deadlocks]

    def in_turn(self) -> tuple[dict[int, Node], list[list[int]]]:
        """The first node that will do for each, one deadlock after the other, and those left without."""
        done: dict[int, Node] = {}
        stuck: list[list[int]] = []
        for n, deadlock in enumerate(self.precedence.deadlocks):
            given_up = [i for one in stuck for i in one[1:]]  # broken anyhow: the rest is to be judged
            others = [*self._later(n), *given_up]
            each = (self._nodes(choice, done, others) for choice in self.choices(deadlock))
            found = next((one for several in each for one in several), None)
            if found is None:
                stuck.append(deadlock)
            else:
                done = found
        return done, stuck

    def together(self, sets: Sequence[Sequence[Sequence[int]]]) -> dict[int, Node] | None:
        """Nodes for one of the ``sets`` of each deadlock, by backtracking; None if none are found soon."""

        def after(n: int, done: Mapping[int, Node]) -> Iterator[dict[int, Node]]:
            return (found for items in sets[n] for found in self._nodes(items, done, self._later(n)))

        pending = [after(0, {})]
        for _ in range(budget.PARKING_WORK // len(self.precedence.transfers)):
            done = next(pending[-1], None)
            if done is None:
                pending.pop()
                if not pending:
                    return None
            elif len(pending) == len(sets):
                return done
            else:
                pending.append(after(len(pending), done))
        return None

    def choices(self, deadlock: Sequence[int]) -> Iterator[list[int]]:
        """Sets to park: the fewest items, each in turn banned from them; at last sets of one more."""
        banned: set[int] = set()
        fewest = first = self._fewest(deadlock)
        while fewest is not None:
            yield fewest
            banned.add(fewest[0])
            fewest = self._fewest(deadlock, banned)
        for more in islice(permutations(deadlock, len(first or deadlock) + 1), budget.PARKING_SETS):
            rest = self.precedence.graph.subgraph([i for i in deadlock if i not in more])
            if nx.is_directed_acyclic_graph(rest):
                yield list(more)

    def _fewest(self, deadlock: Sequence[int], banned: Collection[int] = ()) -> list[int] | None:
        """The fewest items that break a deadlock, those with the longest window first, or None."""

        def window(item: int) -> Any:
            transfer = self.precedence.transfers[item]
            return max(transfer.not_before, self.now) - transfer.not_after, item

        able = sorted(set(deadlock) - set(banned), key=window)
        return feedback_vertex_set(self.precedence.graph.subgraph(deadlock), able)

    def _later(self, n: int) -> list[int]:
        """Who is likely to be parked for the deadlocks after the ``n``-th."""
        return [i for items in self.fewest[n + 1 :] for i in items]

    def _nodes(
        self, items: Sequence[int], done: Mapping[int, Node], others: Sequence[int]
    ) -> Iterator[dict[int, Node]]:
        """Nodes on which to park some items, beside those parked before, in the order of their parking."""
        if not items:
            yield dict(done)
            return
        for found in self._node(items[0], done, dict.fromkeys([*items, *others])):
            yield from self._nodes(items[1:], found, others)

    def _node(
        self, item: int, done: Mapping[int, Node], hoped: Mapping[int, None]
    ) -> Iterator[dict[int, Node]]:
        """The nearest node no step takes or leaves; then those that are free just then."""
        precedence, first, last = self.precedence, (item, 0), (item, 1)
        steps = precedence.steps({**done, **hoped})
        if not nx.is_directed_acyclic_graph(steps):
            return  # a spot of those done takes it for granted that others are parked than are
        below, above = {first, *nx.descendants(steps, first)}, {last, *nx.ancestors(steps, last)}
        late: set[Step] | None = None
        awkward, in_nobodys_way = [], True
        for spot in sorted(self.spare, key=lambda node: self.detour(item, node)):
            if spot == precedence.transfers[item].source:
                continue
            before, after = precedence.needs(item, spot, {**done, **hoped})
            if not before and not after:
                if in_nobodys_way:
                    yield {**done, item: spot}
                in_nobodys_way = False
            elif not {step for step in before if step[1] == 0} & below and not after & above:
                awkward.append(spot)
        for spot in awkward:
            for place in range(len(done), -1, -1):  # after those parked there before, or before them
                order = list(done.items())
                parked = dict([*order[:place], (item, spot), *order[place:]])
                tried = precedence.steps({**parked, **dict.fromkeys(i for i in hoped if i != item)})
                if nx.is_directed_acyclic_graph(tried):
                    late = set(precedence.late(steps, {**done, **hoped}, self.now)) if late is None else late
                    if set(precedence.late(tried, {**parked, **hoped}, self.now)) <= late:
                        yield parked
                        break
                if all(at not in precedence.around(spot) for _, at in order[:place]):
                    break  # no other order to be tried
