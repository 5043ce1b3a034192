"""The move list on paper: every step in its order, in type for arm's length, with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from matplotlib.figure import Figure

from planner.draw.paper.pen import put
from planner.draw.paper.render import page, size_of
from planner.draw.paper.words import fit, plain, wrap
from planner.draw.sheets.day_sheet import HEADING, MARGIN, STEP, TITLE, draw_rows, laid
from planner.section import Section
from planner.style import BODY, DAY_LEAST, LARGE, MM_PER_PT
from planner.words import CAUTION


def move_figures(title: str, words: str, section: Section, paper: tuple[float, float]) -> list[Figure]:
    """Draw the list on as many upright pages as it takes; ``paper`` in mm."""
    wide = paper[0] - 2 * MARGIN
    size = _size(section, wide)
    step = STEP * size * MM_PER_PT
    notes = wrap(plain(words), size, wide)
    head = (TITLE + 0.5 + len(notes)) * step
    room = paper[1] - 2 * MARGIN - head - 2 * step
    drawn = []
    for rows in _chunks(section, size, wide, room):
        figure, ax = page(*paper)
        y = paper[1] - MARGIN - TITLE * step
        put(ax, MARGIN, y + 0.5 * step, fit(title, HEADING * size, wide, True), HEADING * size, bold=True)
        for note in notes:
            y -= step
            put(ax, MARGIN, y, note, size)
        draw_rows(replace(section, note="", rows=rows), size, wide, y, ax)
        put(ax, MARGIN, 8.0, CAUTION, BODY, bold=True)
        drawn.append(figure)
    return drawn


def _size(section: Section, wide: float) -> float:
    """The largest size in which no row takes more than two lines, pt; the smallest where there is none."""
    size = LARGE
    while size > DAY_LEAST and any(len(cell) > 2 for row in laid(section, size, wide).rows for cell in row):
        size = max(DAY_LEAST, size - 0.5)
    return size


def _chunks(section: Section, size: float, wide: float, room: float) -> list[tuple[tuple[str, ...], ...]]:
    """Rows that fit on each page; a row may take several lines."""
    step = STEP * size * MM_PER_PT
    chunks: list[list[tuple[str, ...]]] = [[]]
    for row in section.rows:
        longer = [*chunks[-1], row]
        part = replace(section, note="", rows=tuple(longer))
        if chunks[-1] and laid(part, size, wide).lines * step > room:
            chunks.append([row])
        else:
            chunks[-1] = longer
    return [tuple(chunk) for chunk in chunks]


def number(figures: Sequence[Figure]) -> None:
    """Write ``page 1 of 5`` at the upper right of each page."""
    for i, figure in enumerate(figures, start=1):
        right, top = size_of(figure)
        put(
            figure.axes[0],
            right - 12.0,
            top - 9.0,
            f"page {i} of {len(figures)}",
            BODY,
            ha="right",
            gid="page",
        )
