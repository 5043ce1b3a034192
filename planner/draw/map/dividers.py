"""Cards between two spots: a black bar with a white heart, across the way from one to the other."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from planner.draw.data import PlacePicture
from planner.draw.paper.marks import Point
from planner.draw.paper.page import Page
from planner.draw.paper.pen import stroke
from planner.rack.cards import ends_of
from planner.style import BLACK, WHITE

BAR = 7.0  # mm long


def spots_divided(picture: PlacePicture, cm_per_unit: float) -> Iterator[tuple[Point, Point]]:
    """Points (cm, in the place's frame) between which each card of a place stands."""
    at = {m.tag: (m.x, m.y) for m in picture.marks}
    at |= {h.spot: (h.x, h.y) for h in picture.hung if h.x is not None and h.y is not None}
    return ends_of(picture.cards, at, cm_per_unit)


def draw_card(a: Point, b: Point, page: Page, part: float = 0.5, bar: float = BAR) -> Page:
    """Draw a card, ``bar`` long, across the way from a to b, mm on paper, ``part`` of the way along."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    far = hypot(dx, dy) or 1.0
    x, y = a[0] + part * dx, a[1] + part * dy
    across, up = dy / far * bar / 2, dx / far * bar / 2
    for colour, weight in ((BLACK, 3.6), (WHITE, 1.3)):
        stroke(page, (x - across, x + across), (y + up, y - up), colour=colour, weight=weight, zorder=4.5,
               gid="card", butt=True)  # fmt: skip
    return page
