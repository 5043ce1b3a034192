"""Parking: deadlocks among moves are broken by a stay on a spare spot, with the fewest touched twice.

Where items all wait for one another nobody can be first, unless one makes way and is touched twice. So a
smallest feedback vertex set is parked, of those the items that have longest until they darken.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import datetime
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
    Item → the node on which it is parked, and the deadlocks for which there is no node to spare.
    """
    done: dict[int, Node] = {}
    stuck: list[list[int]] = []
    deadlocks = precedence.deadlocks
    if not any(precedence.first_to(spot) for spot in spare):
        return {}, deadlocks  # nobody can move at all
    first = [_fewest(precedence, deadlock, (), now) or deadlock[1:] for deadlock in deadlocks]
    for n, deadlock in enumerate(deadlocks):
        others = [i for k in range(n + 1, len(deadlocks)) for i in first[k]]
        others += [i for given_up in stuck for i in given_up[1:]]  # broken anyhow: the rest is to be judged
        for choice in _choices(precedence, deadlock, now):
            found = _spots_for(precedence, choice, done, others, spare, detour, now)
            if found is not None:
                done = found
                break
        else:
            stuck.append(deadlock)
    return done, stuck


def _choices(precedence: Precedence, deadlock: Sequence[int], now: datetime) -> Iterator[list[int]]:
    """Sets to park: the fewest items, each in turn banned from them; at last sets of one more."""
    banned: set[int] = set()
    fewest = first = _fewest(precedence, deadlock, banned, now)
    while fewest is not None:
        yield fewest
        banned.add(fewest[0])
        fewest = _fewest(precedence, deadlock, banned, now)
    for more in islice(permutations(deadlock, len(first or deadlock) + 1), budget.PARKING_SETS):
        rest = precedence.graph.subgraph([i for i in deadlock if i not in more])
        if nx.is_directed_acyclic_graph(rest):
            yield list(more)


def _fewest(
    precedence: Precedence, deadlock: Sequence[int], banned: Collection[int], now: datetime
) -> list[int] | None:
    """The fewest items that break a deadlock, those with the longest window first, or None."""

    def window(item: int) -> Any:
        transfer = precedence.transfers[item]
        return max(transfer.not_before, now) - transfer.not_after, item

    able = sorted(set(deadlock) - set(banned), key=window)
    return feedback_vertex_set(precedence.graph.subgraph(deadlock), able)


def _spots_for(
    precedence: Precedence,
    items: Sequence[int],
    done: Mapping[int, Node],
    others: Sequence[int],
    spare: Sequence[Node],
    detour: Detour,
    now: datetime,
) -> dict[int, Node] | None:
    """Nodes on which to park some items, beside those parked before, in the order of their parking."""
    found = dict(done)
    for n, item in enumerate(items):
        hoped = dict.fromkeys([*items[n:], *others])
        again = _spot_for(precedence, item, found, hoped, spare, detour, now)
        if again is None:
            return None
        found = again
    return found


def _spot_for(
    precedence: Precedence,
    item: int,
    done: Mapping[int, Node],
    hoped: Mapping[int, None],
    spare: Sequence[Node],
    detour: Detour,
    now: datetime,
) -> dict[int, Node] | None:
    """The nearest node no step takes or leaves; else the nearest that is free just then."""
    first, last = (item, 0), (item, 1)
    steps = precedence.steps({**done, **hoped})
    below, above = {first, *nx.descendants(steps, first)}, {last, *nx.ancestors(steps, last)}
    late: set[Step] | None = None
    awkward = []
    for spot in sorted(spare, key=lambda node: detour(item, node)):
        if spot == precedence.transfers[item].source:
            continue
        before, after = precedence.needs(item, spot, {**done, **hoped})
        if not before and not after:
            return {**done, item: spot}
        if not {step for step in before if step[1] == 0} & below and not after & above:
            awkward.append(spot)
    for spot in awkward:
        for place in range(len(done), -1, -1):  # after those parked there before, or before them
            order = list(done.items())
            parked = dict([*order[:place], (item, spot), *order[place:]])
            tried = precedence.steps({**parked, **dict.fromkeys(i for i in hoped if i != item)})
            if nx.is_directed_acyclic_graph(tried):
                late = set(precedence.late(steps, {**done, **hoped}, now)) if late is None else late
                if set(precedence.late(tried, {**parked, **hoped}, now)) <= late:
                    return parked
            if all(at not in precedence.around(spot) for _, at in order[:place]):
                break  # no other order to be tried
    return None
