"""Where a line longer than the sheet is cut, and the scale that makes use of the sheet's whole width."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import groupby

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.line import INDENT, LinePanel, draw_line
from planner.draw.map.parts import Part, span
from planner.draw.map.scale import SCALES, Scale, cuts
from planner.draw.paper.page import Page
from planner.season.places import Line


def line_parts(
    picture: PlacePicture,
    sheet: Sheet,
    scale: Scale,
    room: float,
    page: float | None,  # noqa: ARG001
) -> Iterator[Part]:
    """The stretches of a line."""
    line, form = picture.place, scale.form_for(picture)
    assert isinstance(line, Line)
    panels = [
        LinePanel(picture, line, low, high, scale, form, sheet, room)
        for low, high in stretches(picture, scale, room)
    ]
    for bare, group in groupby(panels, key=lambda panel: panel.bare and bool(picture.hung)):
        here = list(group)
        where = span(sheet, here[0].low, here[-1].high)
        if bare:
            yield Part(f"{where}: nobody hangs there", 0.0, _draw_nothing)
        else:
            for panel in here:
                yield Part(span(sheet, panel.low, panel.high), panel.height, partial(draw_line, panel))


def _draw_nothing(page: Page, _left: float, _top: float) -> Page:
    return page


def stretches(picture: PlacePicture, scale: Scale, room: float) -> list[tuple[float, float]]:
    """From where to where each stretch goes, cm. ``room``: width of the sheet, mm."""
    step, slides = picture.place.pitch, picture.place.slides
    at = [h.x for h in picture.hung if h.x is not None] if slides else [m.x for m in picture.marks]
    capacity = (room - 2 * INDENT) * scale.n / 10 - step
    return cuts(picture.place.extent[0], max(capacity, step), at, step / 2)


def spread(scale: Scale, sheet: Sheet, room: float) -> Scale:
    """Draw lines as large as the sheet's width has room for without further stretches.

    Boards of the same scale would take more height, so with one of them it stays as it is.
    """
    drawn = [p for p in sheet.pictures if not sheet.folds(p)]
    lines = [p for p in drawn if isinstance(p.place, Line)]
    boards = any(p.place.offers_spots and p.place.stacked for p in drawn)
    if not lines or (boards and not scale.boards):
        return scale

    def rows(s: Scale) -> int:
        return sum(len(stretches(p, s, room)) for p in lines)

    larger = [replace(scale, n=n) for n in reversed(SCALES) if n < scale.n]
    return next((s for s in larger if rows(s) == rows(scale)), scale)
