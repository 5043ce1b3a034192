"""Where things hang and who is beside whom, for the naive verifier: plain numbers, no cleverness."""

import math
from dataclasses import dataclass

from planner.season.places import Board, Lid, Line

HAIR = 1e-6  # cm: exactly wing_reach apart is far enough, whatever the last bit says
KNOT = 1  # cm at either end of a line with sliding clips; the seasons of these tests are in cm
TAG = 0.005  # cm: a tag in thousandths of an inch means the mark beside it


@dataclass(frozen=True)
class There:
    """A point of a place; x None: somewhere on this lid, never measured."""

    place: object
    x: float | None
    y: float | None


def spot(season, name, tag):
    """The point that a tag names on a line or board, or None: there is no such place, or no such name."""
    place = season.place.get(name)
    if isinstance(place, Line):
        try:
            x = float(tag) * (2.54 if season.units == "in" else 1)
        except (TypeError, ValueError):
            return None
        if not 0 <= x < 1e6:
            return None
        if place.clips_every:
            marks = (round(x / place.clips_every) + k for k in (-1, 0, 1))
            x = next((m * place.clips_every for m in marks if abs(m * place.clips_every - x) <= TAG), x)
        return There(place, x, 0.0)
    if isinstance(place, Board):
        row, _, pin = (tag or "")[1:].partition("p")
        if (tag or "")[:1] != "r" or not (row.isdecimal() and pin.isdecimal()) or "0" in (row[0], pin[0]):
            return None
        moved = place.pins_every / 2 if place.pattern == "staggered" and int(row) % 2 == 0 else 0
        x = place.pins_every / 2 + (int(pin) - 1) * place.pins_every + moved
        return There(place, x, place.height - place.pins_every / 2 - (int(row) - 1) * place.pins_every)
    return None


def on_its_place(there):
    """On the line between its two knots, or on the board."""
    if isinstance(there.place, Line):
        return HAIR < there.x < there.place.length - HAIR
    return HAIR < there.x < there.place.width - HAIR and HAIR < there.y < there.place.height - HAIR


def can_be_clipped(there):
    """On a mark of a line with marks, at a whole step off the knots of one with sliding clips, on any pin."""
    if not isinstance(there.place, Line):
        return True
    if there.place.clip_width and not KNOT - HAIR <= there.x <= there.place.length - KNOT + HAIR:
        return False
    step = there.place.clips_every or there.place.to_nearest
    return abs(there.x / step - round(there.x / step)) * step <= HAIR


def room(there):
    """X along the wall, depth before it, height above the floor."""
    place = there.place
    x, depth = (place.left or 0) + there.x, place.front or 0
    if isinstance(place, Line):
        return x, depth, place.height
    if isinstance(place, Board):
        return x, depth, place.bottom + there.y
    return x, depth + place.length - there.y, place.height


def stands_somewhere(place):
    return place.left is not None or place.front is not None


def distance(a, b):
    return None if a.x is None or b.x is None else math.dist(room(a), room(b))


def beside(season, a, b):
    """Whether adults at two points can touch, or drip on one another; a card between them hinders both."""
    if isinstance(a.place, Lid) and a.place is b.place and (a.x is None or b.x is None):
        return True
    if a.x is None or b.x is None:
        return False
    if a.place is not b.place and not (stands_somewhere(a.place) and stands_somewhere(b.place)):
        return False
    (x, d, z), (x2, d2, z2) = room(a), room(b)
    sideways = math.hypot(x - x2, d - d2) < season.wing_reach - HAIR
    touch = distance(a, b) < season.wing_reach - HAIR
    return (touch or (sideways and abs(z - z2) <= season.drop + HAIR)) and not card_between(season, a, b)


def card_between(season, a, b):
    for card in season.dividers:
        ends = [spot(season, *end) for end in (card.a, card.b)]
        for one, other in (ends, ends[::-1]):
            if all(end and same(p, end) for p, end in ((a, one), (b, other))):
                return True
    return False


def same(a, b):
    """Whether two points are one spot."""
    if a is None or b is None or a.x is None or b.x is None:
        return False
    return a.place is b.place and math.hypot(a.x - b.x, a.y - b.y) <= TAG


def clips_meet(a, b):
    """Whether two clips at two points would be in one another's way."""
    if a.place is not b.place or a.x is None or b.x is None:
        return False
    if not isinstance(a.place, Line):
        return same(a, b)
    width = a.place.clip_width or a.place.clips_every / 2
    return abs(a.x - b.x) < width - HAIR
