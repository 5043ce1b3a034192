"""Where a line longer than the sheet is cut, and the scale that makes use of the sheet's whole width."""

from __future__ import annotations

from dataclasses import replace

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.line import INDENT
from planner.draw.map.scale import SCALES, Scale, closest, cuts
from planner.season.places import Board, Line


def stretches(line: Line, picture: PlacePicture, scale: Scale, room: float) -> list[tuple[float, float]]:
    """From where to where each stretch goes, cm. ``room``: width of the sheet, mm."""
    step = closest(picture)
    at = [m.x for m in picture.marks] if line.clips_every else [h.x for h in picture.hung if h.x is not None]
    capacity = (room - 2 * INDENT) * scale.n / 10 - step
    return cuts(line.length, max(capacity, step), at, step / 2)


def spread(scale: Scale, sheet: Sheet, room: float) -> Scale:
    """Draw lines as large as the sheet's width has room for without further stretches.

    Boards would take more height, so with one of them the scale stays as it is.
    """
    drawn = [p for p in sheet.pictures if not sheet.folds(p)]
    lines = [(p.place, p) for p in drawn if isinstance(p.place, Line)]
    if not lines or any(isinstance(p.place, Board) for p in drawn):
        return scale

    def rows(s: Scale) -> int:
        return sum(len(stretches(line, p, s, room)) for line, p in lines)

    larger = [replace(scale, n=n) for n in reversed(SCALES) if n < scale.n]
    return next((s for s in larger if rows(s) == rows(scale)), scale)
