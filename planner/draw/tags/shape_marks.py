"""What is printed on a piece beside its faces: fold line, slants or ring, and in the margin how it holds."""

from __future__ import annotations

from collections.abc import Sequence

from planner.draw.paper.marks import Point
from planner.draw.paper.page import Page
from planner.draw.paper.pen import disc, put, stroke
from planner.draw.tags.shapes import AT_DASHES, HOLE, HOLE_STRIP, SHAPES, WEDGE_END, WEDGE_STRIP, Shape
from planner.style import BLACK, SMALLEST, WHITE


def draw_shape(shape: Shape, face: tuple[float, float], page: Page, left: float, bottom: float) -> Page:
    """Draw fold line, slants or ring of a piece with its lower left corner at (left, bottom), mm."""
    wide, high = face
    middle, top = left + wide / 2, bottom + high
    match shape.name:
        case "fold":
            _fold((left, top), (left + wide, top), page)
        case "flag":
            _fold((left + wide, bottom), (left + wide, top), page)
        case "wedge":
            for side in (-1, 1):
                xs = (middle + side * wide / 2, middle + side * WEDGE_END / 2)
                stroke(page, xs, (top, top + WEDGE_STRIP), weight=0.3, gid="slant")
        case "hole":
            disc(
                page, (middle, top + HOLE_STRIP / 2), HOLE / 2, fill=WHITE, edge=BLACK, weight=0.4, gid="hole"
            )
    return page


def _fold(a: Point, b: Point, page: Page) -> None:
    stroke(page, (a[0], b[0]), (a[1], b[1]), weight=0.4, ls=(0, (6, 4)), gid="fold")


def draw_how(shapes: Sequence[Shape], page: Page, right: float, y: float) -> Page:
    """Say in one row of the margin how each shape is made to hold; nothing of plain cards alone."""
    found = list(dict.fromkeys(shapes))
    words = f"{found[0].name}: {found[0].how}"
    if len(found) > 1:
        each = (f"{shape.name}: {shape.brief}" for shape in found)
        words = "   ·   ".join([f"{AT_DASHES}, print outside", *each])
    if found != [SHAPES["card"]]:
        put(page, right, y, words, SMALLEST, ha="right", gid="how")
    return page
