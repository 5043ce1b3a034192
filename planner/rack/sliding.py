"""Where clips may sit on a line on which they slide: so few positions that the best layout is among them.

Push every clip of a layout to the left until something stops it: the line's end, or another clip, a clip's
width or a wing reach before it. No rule is broken by that, so only positions that are sums of clip widths and
wing reaches, counted from the end or from a clip that stays, are ever needed. A card shelters two who hang
just at its ends: these count as well.
"""

from __future__ import annotations

import math

from planner.season import Line, Place, Season

EPS = 1e-6
KNOT = {"cm": 1.0, "in": 1.27}  # cm kept free at both ends of a line, for the knot; half an inch


def steps_on(line: Line, season: Season) -> range:
    """Where clips may sit at all, as whole multiples of the line's ``to_nearest``: both knots stay free."""
    unit, knot = line.to_nearest, KNOT[season.units]
    return range(_at_least(knot, unit), math.floor((line.length - knot) / unit + EPS) + 1)


def side_by_side(line: Line, season: Season) -> list[float]:
    """Positions (cm, ascending) of as many clips as fit on an empty line."""
    width, steps = line.clip_width, steps_on(line, season)
    if width is None:
        raise ValueError(f"{line.name}: its clips do not slide")
    return [_cm(k, line) for k in steps[:: _at_least(width, line.to_nearest)]]


def positions_on(line: Line, season: Season) -> list[float]:
    """Positions (cm, ascending) that a best layout may need, all of them among `steps_on`.

    Where another place stands within reach, its spots may stop a clip anywhere: then it is every one.
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
    lengths = [width, season.wing_reach]
    period = math.gcd(*(_at_least(length, unit) for length in lengths))
    if any(_within_reach(line, other, season) for other in season.places if other is not line):
        period = 1
    starts = {steps.start % period}
    starts |= {_at_least(x + length, unit) % period for x in [*hung, *cards] for length in lengths}
    starts |= {_at_least(x, unit) % period for x in cards}
    return [_cm(k, line) for k in steps if k % period in starts]


def _at_least(length: float, unit: float) -> int:
    """The fewest whole steps that are no shorter than a length, whatever its last bit says."""
    return math.ceil(length / unit - EPS)


def _cm(step: int, line: Line) -> float:
    return round(step * line.to_nearest, 6)


def _within_reach(line: Line, other: Place, season: Season) -> bool:
    """Whether spots of two places can be neighbours, judged by the boxes they fill."""
    if not (line.located and other.located):
        return False
    apart = [_apart(*pair) for pair in zip(_box(line), _box(other), strict=True)]
    tall = max(season.drop, season.wing_reach)
    return math.hypot(apart[0], apart[1]) < season.wing_reach and apart[2] <= tall + EPS


def _box(place: Place) -> list[tuple[float, float]]:
    """From where to where a place goes: to the right, before the wall, above the floor; cm."""
    return [(min(along), max(along)) for along in zip(*(place.stand(*c) for c in place.outline), strict=True)]


def _apart(a: tuple[float, float], b: tuple[float, float]) -> float:
    return max(0.0, b[0] - a[1], a[0] - b[1])
