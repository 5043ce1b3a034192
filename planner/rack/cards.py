"""The segment that each divider card takes up on its place: the same on the map and on the page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import hypot

from planner.season.places.dividers import Divider, End

Point = tuple[float, float]


def cards_on(name: str, dividers: Iterable[Divider]) -> tuple[Divider, ...]:
    """The cards with both ends on one place.

    A card that stands across two places has no segment in either frame, so it is described in words alone.

    Parameters
    ----------
    name
        Of the place.
    """
    return tuple(card for card in dividers if card.a[0] == card.b[0] == name)


def ends_of(
    cards: Iterable[Divider], at: Mapping[str, Point], cm_per_unit: float
) -> Iterator[tuple[Point, Point]]:
    """The segment between whose two end points each card stands, in the order of ``cards``.

    Parameters
    ----------
    cards
        Each with both ends on the same place (`cards_on`).
    at
        Position of each spot of that place by tag: x and y, cm, in the place's own frame. The tag of a spot
        that is not among them must be its distance from the left end of a line.
    cm_per_unit
        Cm in the unit of such a tag: 1 or 2.54.

    Returns
    -------
    Iterator
        Pairs of points, the left or lower one first. Where other spots lie between the two ends, the segment
        begins at the last of them, so that the card is drawn beside the right or upper end.

    Raises
    ------
    ValueError
        A tag is neither in ``at`` nor a number.
    """
    for card in cards:
        a, b = sorted(_at(end, at, cm_per_unit) for end in (card.a, card.b))
        between = [p for p in at.values() if _between(p, a, b)]
        yield max(between, default=a), b


def _at(end: End, at: Mapping[str, Point], cm_per_unit: float) -> Point:
    return at[end[1]] if end[1] in at else (float(end[1]) * cm_per_unit, 0.0)


def _between(p: Point, a: Point, b: Point) -> bool:
    """Whether a point lies on the segment from a to b and is neither of its ends."""
    far = hypot(b[0] - a[0], b[1] - a[1])
    to_a, to_b = hypot(p[0] - a[0], p[1] - a[1]), hypot(p[0] - b[0], p[1] - b[1])
    return abs(to_a + to_b - far) < 1e-6 and to_a > 1e-6 and to_b > 1e-6
