"""The day sheet for the wall: one upright page in large type, with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from planner.draw.paper.formats import paper_size
from planner.draw.paper.pen import box, put, stroke
from planner.draw.paper.render import look, page, render
from planner.draw.paper.words import CAP, fit, plain, width, wrap
from planner.section import Section
from planner.style import BODY, DAY_LARGEST, DAY_LEAST, FAINT, MM_PER_PT, QUIET
from planner.words import count

MARGIN = 15.0  # mm
STEP = 1.6  # from row to row, in sizes of a row
HEADING, TITLE = 1.25, 1.7  # sizes of the larger texts, likewise
NAMES = 0.8  # of columns, likewise
BOLDER = 1.15  # how much wider bold letters are
LEAST_WIDE = 12.0  # mm of a column that may take several lines
GAP = 3.0  # mm between columns at the least
MOST = 50  # rows of the smallest type fill a page


@dataclass(frozen=True)
class Laid:
    """A section's rows in one size of type, mm: where boxes and columns start, and each cell's lines."""

    boxes: list[float]
    starts: list[float]
    rows: list[list[list[str]]]

    @property
    def lines(self) -> int:
        """How many lines of text the rows take."""
        return sum(max(map(len, row)) for row in self.rows)


@look()
def day_page(title: str, summary: str, sections: Sequence[Section], foot: str, paper: str = "A4") -> bytes:
    """Make the PDF: in type as large as fits, and in the smallest with as many rows as fit.

    Raises ValueError for a paper that is not known.
    """
    return render([day_figure(title, summary, sections, foot, paper)], "pdf")


def day_figure(title: str, summary: str, sections: Sequence[Section], foot: str, paper: str = "A4") -> Figure:
    """Draw the page. Raises ValueError for a paper that is not known."""
    size = paper_size(paper)
    figure, ax = page(*size)
    sections, type_size = fitted(title, summary, sections, size)
    draw_day(title, summary, sections, foot, type_size, size, ax)
    return figure


def fitted(
    title: str, summary: str, sections: Sequence[Section], paper: tuple[float, float]
) -> tuple[list[Section], float]:
    """The sections that fit on the page, and the size of type in which they do.

    Where the smallest type is too large, the section of most lines loses its last row, again and again.
    """
    room = paper[1] - 2 * MARGIN - 2 * BODY * MM_PER_PT  # the foot's line is kept free
    wide = paper[0] - 2 * MARGIN
    kept, size = [s.cut(MOST) for s in sections], DAY_LARGEST
    while _height(title, summary, kept, size, wide) > room and size > DAY_LEAST:
        size -= 0.5
    while _height(title, summary, kept, size, wide) > room and any(len(s.rows) > 1 for s in kept):
        cuttable = [k for k, s in enumerate(kept) if len(s.rows) > 1]
        i = max(cuttable, key=lambda k: laid(kept[k], size, wide).lines)
        kept[i] = kept[i].cut(len(kept[i].rows) - 1)
    return kept, size


def _height(title: str, summary: str, sections: Sequence[Section], size: float, wide: float) -> float:
    rows = TITLE * len(_title_rows(title, size, wide)) + len(wrap(plain(summary), size, wide))
    for section in sections:
        rows += 0.6 + HEADING + len(wrap(plain(section.note), size, wide)) + bool(section.more)
        rows += 1 + laid(section, size, wide).lines if section.rows else 0
    return rows * STEP * size * MM_PER_PT


def _title_rows(title: str, size: float, wide: float) -> list[str]:
    """The title in one row, or the season's name in one and the day in the next."""
    size *= TITLE * BOLDER
    rows = wrap(plain(title), size, wide)
    name, _, day = plain(title).rpartition(": ")
    if len(rows) > 1 and name:
        rows = [fit(f"{name}:", size, wide), fit(day, size, wide)]
    return rows[:2]


def draw_day(
    title: str,
    summary: str,
    sections: Sequence[Section],
    foot: str,
    size: float,
    paper: tuple[float, float],
    ax: Axes,
) -> Axes:
    """Draw the sheet from the top down, ``size`` in pt, ``paper`` in mm."""
    wide, step = paper[0] - 2 * MARGIN, STEP * size * MM_PER_PT
    y = paper[1] - MARGIN
    for row in _title_rows(title, size, wide):
        y -= TITLE * step
        put(ax, MARGIN, y + 0.5 * step, row, TITLE * size, bold=True, gid="title")
    for row in wrap(plain(summary), size, wide):
        y -= step
        put(ax, MARGIN, y, row, size)
    for section in sections:
        y -= (0.6 + HEADING) * step
        put(ax, MARGIN, y, fit(section.title, HEADING * size, wide, True), HEADING * size, bold=True)
        stroke(ax, (MARGIN, MARGIN + wide), (y - 0.25 * step, y - 0.25 * step), colour=FAINT, weight=0.8)
        for row in wrap(plain(section.note), size, wide):
            y -= step
            put(ax, MARGIN, y, row, size, colour=QUIET)
        y = draw_rows(section, size, wide, y, ax)
    above = MARGIN + 0.5 * BODY * MM_PER_PT  # the feet of its letters keep to the margin, too
    put(ax, MARGIN, above, fit(foot, BODY, wide), BODY, colour=QUIET, gid="foot")
    return ax


def draw_rows(section: Section, size: float, wide: float, y: float, ax: Axes) -> float:
    """Draw a section's rows below ``y`` and return where they end."""
    step, side = STEP * size * MM_PER_PT, _side(size)
    if section.rows:
        found = laid(section, size, wide)
        y -= step
        for name, x in zip((*section.boxes, *section.head), (*found.boxes, *found.starts), strict=True):
            put(ax, x, y, name, NAMES * size, colour=QUIET)
        for row in found.rows:
            for x in found.boxes:
                box(ax, (x, y - step - 0.1 * side), (side, side), weight=0.9, gid="box")
            for k, (lines, x) in enumerate(zip(row, found.starts, strict=True)):
                for i, line in enumerate(lines):
                    put(ax, x, y - (i + 1) * step, line, size, bold=k == section.names)
            y -= max(map(len, row)) * step
    if section.more:
        y -= step
        put(ax, MARGIN, y, f"and {count(section.more, 'more row')}: hangplan today --all", size)
    return y


def _side(size: float) -> float:
    """Of a box, mm."""
    return CAP * size * MM_PER_PT * 1.25


def laid(section: Section, size: float, wide: float) -> Laid:
    """Lay a section's rows out: columns as wide as needed, the widest cut down where that is too much."""
    boxes, left = list[float](), MARGIN
    for name in section.boxes:
        boxes.append(left)
        left += max(_side(size), width(name, NAMES * size)) + GAP
    columns = list(zip(section.head, *section.rows, strict=True))
    needed = [
        max(width(c.strip(), size, k == section.names) for c in column) + 0.1
        for k, column in enumerate(columns)
    ]
    room = MARGIN + wide - left - GAP * (len(needed) - 1)
    squeezed = [min(n, LEAST_WIDE) if k in section.wide else n for k, n in enumerate(needed)]
    # what may take several lines gives way first: an hour or an id cut short could be misread
    gives = set(section.wide) if sum(squeezed) <= room else set(range(len(needed)))
    while (over := sum(needed) - room) > 1e-6:
        widest = max(needed[k] for k in gives)
        lower = max([needed[k] for k in gives if needed[k] < widest - 1e-6], default=0.0)
        target = max(lower, widest - over / sum(needed[k] >= widest - 1e-6 for k in gives))
        needed = [min(n, target) if k in gives else n for k, n in enumerate(needed)]
    spare = min(2 * GAP, (room - sum(needed)) / len(needed))
    starts = [left + sum(needed[:k]) + k * (GAP + spare) for k in range(len(needed))]
    rows = [[_cell(section, k, cell, size, needed[k]) for k, cell in enumerate(row)] for row in section.rows]
    return Laid(boxes, starts, rows)


def _cell(section: Section, column: int, cell: str, size: float, room: float) -> list[str]:
    bold = column == section.names
    if column in section.wide and width(cell, size, bold) > room:
        return wrap(plain(cell), size * (BOLDER if bold else 1), room)
    return [fit(cell.strip(), size, room, bold)]
