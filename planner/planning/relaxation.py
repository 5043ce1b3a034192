"""Bounds from a relaxation: what a plan that keeps more rules may claim by what was proved without them."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import takewhile

from planner.season.plan.plan_record import Level

_WIDER = ("smallest_gap",)  # levels of which more is better
_OF_WHO_MOVES = ("elbow_room", "length", "carrying")  # proved for those who move under the one plan only


def no_better_than(levels: Iterable[Level], ideal: Iterable[Level]) -> list[Level]:
    """The levels bounded by those of a relaxation: a plan that was asked for less, so can only be better.

    Such a bound holds as long as all levels before it were reached in full; those after the first that was
    not are bounded by what no plan can beat. So are levels that are solved once it is fixed who moves. Of the
    moves that were to be kept fewer are left, so nothing is known from there on where one had to be changed.
    """
    known = {level.name: level for level in takewhile(lambda level: level.name != "stability", ideal)}
    found, reached = [], True
    for level in levels:
        best = None if level.name in _OF_WHO_MOVES else known.get(level.name)
        bound = best.bound if best and reached else None if level.name in _WIDER else 0
        reached = reached and best is not None and level.value == best.value
        found.append(Level(name=level.name, value=level.value, bound=bound, proved=level.value == bound))
    return found
