"""Candidate positions of sliding clips on a line: few, but a best layout is always among them.

Take any layout and push each clip to the left until it is stopped: by the end of the line, or at a clip's
width, a wing reach or an elbow room from another clip. No constraint is broken by that. So the only positions
needed are sums of clip widths, wing reaches and elbow rooms, counted from the left end or from a clip that
stays. A divider card shelters only two pupae that hang exactly at its ends, so the ends of cards are
candidates as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from planner.season import Line, Place, Season

EPS = 1e-6
KNOT = {"cm": 1.0, "in": 1.27}  # cm kept free at both ends of a line, for the knot; half an inch


def steps_on(line: Line, season: Season) -> range:
    """The positions at which a clip may sit, as whole multiples of the line's ``to_nearest``.

    Both ends of the line are left free for their knots (`KNOT`).
    """
    unit, knot = line.to_nearest, KNOT[season.units]
    return range(_at_least(knot, unit), math.floor((line.length - knot) / unit + EPS) + 1)


def side_by_side(line: Line, season: Season, hung: Iterable[float] = ()) -> list[float]:
    """The positions (cm, ascending) of as many clips as fit side by side between those that hang.

    Parameters
    ----------
    hung
        Positions of clips that stay, cm.

    Raises
    ------
    ValueError
        The clips of the line do not slide.
    """
    width, steps = line.clip_width, steps_on(line, season)
    if width is None:
        raise ValueError(f"{line.name}: its clips do not slide")
    wide, found = _at_least(width, line.to_nearest), list[int]()
    taken, k = sorted(round(x / line.to_nearest) for x in hung), steps.start
    while k < steps.stop:
        near = next((step for step in taken if abs(step - k) < wide), None)
        if near is None:
            found.append(k)
        k = wide + (k if near is None else near)
    return [_cm(k, line) for k in found]


def positions_on(line: Line, season: Season) -> list[float]:
    """The candidate positions (cm, ascending) of clips on a line: a subset of `steps_on`.

    Some best layout uses only these.

    Where another place stands within reach of the line, a spot there may stop a clip at any position. Then
    every position of `steps_on` is a candidate.

    Raises
    ------
    ValueError
        The clips of the line do not slide.
    """
    unit, width, steps = line.to_nearest, line.clip_width, steps_on(line, season)
    if width is None:
        raise ValueError(f"{line.name}: its clips do not slide")
    hung = [
        line.meant(float(p.spot or 0) * season.cm_per_unit)
        for p in season.pupae
        if (p.present or (p.closes and p.spot)) and p.place == line.name
    ]  # fmt: skip
    cards = [
        line.meant(float(spot) * season.cm_per_unit)
        for card in season.dividers
        for place, spot in (card.a, card.b)
        if place == line.name
    ]
    lengths = [width, season.wing_reach, *([season.elbow_room] if season.elbow_room else [])]
    period = math.gcd(*(_at_least(length, unit) for length in lengths))
    if any(_within_reach(line, other, season) for other in season.places if other is not line):
        period = 1
    starts = {steps.start % period}
    starts |= {_at_least(x + length, unit) % period for x in [*hung, *cards] for length in lengths}
    starts |= {_at_least(x, unit) % period for x in cards}
    return [_cm(k, line) for k in steps if k % period in starts]


def _at_least(length: float, unit: float) -> int:
    """The least number of whole steps that is no shorter than a length, but for rounding."""
    return math.ceil(length / unit - EPS)


def _cm(step: int, line: Line) -> float:
    """The position of a step in cm, rounded so that equal positions compare equal."""
    return round(step * line.to_nearest, 6)


def _within_reach(line: Line, other: Place, season: Season) -> bool:
    """Whether spots of two places can be neighbours, judged by their bounding boxes."""
    if not (line.located and other.located):
        return False
    apart = [_apart(*pair) for pair in zip(_box(line), _box(other), strict=True)]
    tall = max(season.drop, season.wing_reach)
    return math.hypot(apart[0], apart[1]) < season.wing_reach and apart[2] <= tall + EPS


def _box(place: Place) -> list[tuple[float, float]]:
    """The bounding box of a place: from the rack's left edge, before the wall, above the floor; cm."""
    return [(min(along), max(along)) for along in zip(*(place.stand(*c) for c in place.outline), strict=True)]


def _apart(a: tuple[float, float], b: tuple[float, float]) -> float:
    """The distance between two intervals, 0 where they overlap."""
    return max(0.0, b[0] - a[1], a[0] - b[1])
