"""What a plan that keeps more rules may claim by what was proved without them."""

from __future__ import annotations

from collections.abc import Iterable

from planner.season.plan_record import Level

_WIDER = ("smallest_gap",)  # levels of which more is better
# Levels proved for those who are moved there: where others are moved, less may be possible.
_OF_THOSE_MOVED = ("close", "length", "carrying")


def no_better_than(levels: Iterable[Level], ideal: Iterable[Level]) -> list[Level]:
    """Bound the levels by those of a plan that was asked for less, and so can only be better.

    Such a bound holds as long as all levels before it were reached in full; those after the first that was
    not are bounded by what no plan can beat.
    """
    known = {level.name: level for level in ideal}
    found, reached = [], True
    for level in levels:
        best = known.get(level.name)
        holds = best is not None and reached and level.name not in _OF_THOSE_MOVED
        bound = best.bound if best and holds else None if level.name in _WIDER else 0
        reached = reached and best is not None and level.value == best.value
        found.append(Level(name=level.name, value=level.value, bound=bound, proved=level.value == bound))
    return found
