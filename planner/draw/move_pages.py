"""The move list on paper: every step in its order, in type for arm's length, with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from planner.draw.day_sheet import HEADING, MARGIN, STEP, TITLE, Block, draw_rows, laid
from planner.draw.pen import put
from planner.draw.render import page
from planner.draw.words import fit, plain, wrap
from planner.style import BODY, LARGE, MM_PER_PT


def move_figures(title: str, words: str, block: Block, paper: tuple[float, float]) -> list[Figure]:
    """Draw the list on as many upright pages as it takes; ``paper`` in mm."""
    wide, step = paper[0] - 2 * MARGIN, STEP * LARGE * MM_PER_PT
    notes = wrap(plain(words), LARGE, wide)
    head = (TITLE + 0.5 + len(notes)) * step
    room = paper[1] - 2 * MARGIN - head - 2 * step
    chunks = _chunks(block, wide, room, step)
    drawn = []
    for rows in chunks:
        figure, ax = page(*paper)
        y = paper[1] - MARGIN - TITLE * step
        put(ax, MARGIN, y + 0.5 * step, fit(title, HEADING * LARGE, wide, True), HEADING * LARGE, bold=True)
        for note in notes:
            y -= step
            put(ax, MARGIN, y, note, LARGE)
        part = Block(block.title, "", block.head, rows, block.boxes, block.wide, block.names)
        draw_rows(part, LARGE, wide, y, ax)
        put(ax, MARGIN, 8.0, "Never move one that is soft or darkening.", BODY, bold=True)
        drawn.append(figure)
    return drawn


def _chunks(block: Block, wide: float, room: float, step: float) -> list[tuple[tuple[str, ...], ...]]:
    """Rows that fit on each page; a row may take several lines."""
    chunks: list[list[tuple[str, ...]]] = [[]]
    for row in block.rows:
        longer = [*chunks[-1], row]
        part = Block(block.title, "", block.head, tuple(longer), block.boxes, block.wide, block.names)
        if chunks[-1] and laid(part, LARGE, wide).lines * step > room:
            chunks.append([row])
        else:
            chunks[-1] = longer
    return [tuple(chunk) for chunk in chunks]


def number(figures: Sequence[Figure]) -> None:
    """Write ``page 1 of 5`` at the upper right of each page."""
    for i, figure in enumerate(figures, start=1):
        ax = figure.axes[0]
        right, top = figure.get_figwidth() * 25.4 - 12.0, figure.get_figheight() * 25.4 - 9.0
        put(ax, right, top, f"page {i} of {len(figures)}", BODY, ha="right", gid="page")
