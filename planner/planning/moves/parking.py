"""Who of a ring is parked on a spare spot for the time being, so that the others can go round.

Where all wait for one another nobody can be first, unless one makes way: it is touched twice. So as few are
parked as break every ring, and of those the ones that have longest until they darken.
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

Liking = Callable[[int, Node], Any]  # how far out of the way a spot is for an item; the least is best


def park(
    precedence: Precedence, spare: Sequence[Node], liking: Liking, now: datetime
) -> tuple[dict[int, Node], list[list[int]]]:
    """Break all rings.

    Parameters
    ----------
    spare
        Nodes on which nobody stays; whether a move takes or leaves them is found out here.

    Returns
    -------
    Who is parked where, and the rings for which there is no spot to spare.
    """
    done: dict[int, Node] = {}
    stuck: list[list[int]] = []
    rings = precedence.rings
    if not any(precedence.first_to(spot) for spot in spare):
        return {}, rings  # nobody can move at all
    first = [_fewest(precedence, ring, (), now) or ring[1:] for ring in rings]
    for n, ring in enumerate(rings):
        others = [i for k in range(n + 1, len(rings)) for i in first[k]]
        others += [i for given_up in stuck for i in given_up[1:]]  # broken anyhow: the rest is to be judged
        for choice in _choices(precedence, ring, now):
            found = _spots_for(precedence, choice, done, others, spare, liking, now)
            if found is not None:
                done = found
                break
        else:
            stuck.append(ring)
    return done, stuck


def _choices(precedence: Precedence, ring: Sequence[int], now: datetime) -> Iterator[list[int]]:
    """Whom to park: as few as can be, each in turn left out of it; at last one more than would be needed."""
    banned: set[int] = set()
    fewest = first = _fewest(precedence, ring, banned, now)
    while fewest is not None:
        yield fewest
        banned.add(fewest[0])
        fewest = _fewest(precedence, ring, banned, now)
    for more in islice(permutations(ring, len(first or ring) + 1), budget.PARKING_SETS):
        rest = precedence.graph.subgraph([i for i in ring if i not in more])
        if nx.is_directed_acyclic_graph(rest):
            yield list(more)


def _fewest(
    precedence: Precedence, ring: Sequence[int], banned: Collection[int], now: datetime
) -> list[int] | None:
    """Fewest items without which a ring is none, those with the longest window first, or None."""

    def window(item: int) -> Any:
        want = precedence.wanted[item]
        return max(want.not_before, now) - want.not_after, item

    able = sorted(set(ring) - set(banned), key=window)
    return feedback_vertex_set(precedence.graph.subgraph(ring), able)


def _spots_for(
    precedence: Precedence,
    items: Sequence[int],
    done: Mapping[int, Node],
    others: Sequence[int],
    spare: Sequence[Node],
    liking: Liking,
    now: datetime,
) -> dict[int, Node] | None:
    """Find spots to park some items on, beside those parked before, in the order of who is parked first."""
    found = dict(done)
    for n, item in enumerate(items):
        hoped = dict.fromkeys([*items[n:], *others])
        again = _spot_for(precedence, item, found, hoped, spare, liking, now)
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
    liking: Liking,
    now: datetime,
) -> dict[int, Node] | None:
    """The nearest spot no step takes or leaves; else the nearest that is free just then."""
    first, last = (item, 0), (item, 1)
    steps = precedence.steps({**done, **hoped})
    below, above = {first, *nx.descendants(steps, first)}, {last, *nx.ancestors(steps, last)}
    late: set[Step] | None = None
    awkward = []
    for spot in sorted(spare, key=lambda node: liking(item, node)):
        if spot == precedence.wanted[item].source:
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
