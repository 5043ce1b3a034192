"""Between which two points of a place each of its cards stands: the same on the map and on the page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import hypot

from planner.season.places.dividers import Divider, End

Point = tuple[float, float]


def cards_on(name: str, dividers: Iterable[Divider]) -> tuple[Divider, ...]:
    """Cards with both ends on one place; a card across places is told in words alone."""
    return tuple(card for card in dividers if card.a[0] == card.b[0] == name)


def ends_of(
    cards: Iterable[Divider], at: Mapping[str, Point], cm_per_unit: float
) -> Iterator[tuple[Point, Point]]:
    """The two points (cm, in the place's frame) between which each card stands, the left or lower first.

    ``at``: where the place's spots are, by their tags; of a spot not among them the tag is its length along
    the line. Where others are between the two, the card stands beside the last of them.
    """
    for card in cards:
        a, b = sorted(_at(end, at, cm_per_unit) for end in (card.a, card.b))
        between = [p for p in at.values() if _between(p, a, b)]
        yield max(between, default=a), b


def _at(end: End, at: Mapping[str, Point], cm_per_unit: float) -> Point:
    return at[end[1]] if end[1] in at else (float(end[1]) * cm_per_unit, 0.0)


def _between(p: Point, a: Point, b: Point) -> bool:
    """Whether a point is on the way from a to b, but neither of them."""
    far = hypot(b[0] - a[0], b[1] - a[1])
    to_a, to_b = hypot(p[0] - a[0], p[1] - a[1]), hypot(p[0] - b[0], p[1] - b[1])
    return abs(to_a + to_b - far) < 1e-6 and to_a > 1e-6 and to_b > 1e-6
