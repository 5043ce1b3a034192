"""A table on paper: boxes to tick, columns as wide as needed, and its rows as blocks that follow on pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from planner.draw.map.flow import Block
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, put
from planner.draw.paper.words import CAP, fit, plain, width, wrap
from planner.section import Section
from planner.style import MM_PER_PT, QUIET

STEP = 1.6  # from row to row, in sizes of a row
NAMES = 0.8  # of columns, likewise
BOLDER = 1.15  # how much wider bold letters are
LEAST_WIDE = 12.0  # mm of a column that may take several lines
GAP = 3.0  # mm between columns at the least


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


def row_blocks(section: Section, group: str, size: float, wide: float) -> Iterator[Block]:
    """The names of the columns, which are repeated on each page, and a block for each row."""
    if not section.rows:
        return
    found, step = laid(section, size, wide), STEP * size * MM_PER_PT
    head = Block(group, step, partial(_draw_head, section, found, size), glued=True)
    yield head
    for row in found.rows:
        draw = partial(_draw_row, row, found, section.names, size)
        yield Block(group, max(map(len, row)) * step, draw, again=head)


def _draw_head(section: Section, found: Laid, size: float, page: Page, left: float, top: float) -> Page:
    for name, x in zip((*section.boxes, *section.head), (*found.boxes, *found.starts), strict=True):
        put(page, left + x, top - STEP * size * MM_PER_PT, name, NAMES * size, colour=QUIET)
    return page


def _draw_row(
    row: list[list[str]], found: Laid, names: int, size: float, page: Page, left: float, top: float
) -> Page:
    step, side = STEP * size * MM_PER_PT, _side(size)
    for x in found.boxes:
        box(page, (left + x, top - step - 0.1 * side), (side, side), weight=0.9, gid="box")
    for k, (lines, x) in enumerate(zip(row, found.starts, strict=True)):
        for i, line in enumerate(lines):
            put(page, left + x, top - (i + 1) * step, line, size, bold=k == names)
    return page


def _side(size: float) -> float:
    """Of a box, mm."""
    return CAP * size * MM_PER_PT * 1.25


def _boxes(section: Section, size: float) -> tuple[list[float], float]:
    """Where boxes start, and where the columns do."""
    boxes, left = list[float](), 0.0
    for name in section.boxes:
        boxes.append(left)
        left += max(_side(size), width(name, NAMES * size)) + GAP
    return boxes, left


def _needed(section: Section, size: float) -> list[float]:
    """How wide each column is with every cell in one line, mm."""
    heads = [width(name, NAMES * size) for name in section.head]
    columns = zip(*section.rows, strict=True)
    cells = [
        max(width(c.strip(), size, k == section.names) for c in column) for k, column in enumerate(columns)
    ]
    return [max(head, cell) + 0.1 for head, cell in zip(heads, cells, strict=True)]


def natural_width(section: Section, size: float) -> float:
    """How wide a table is with every cell in one line, mm."""
    needed = _needed(section, size)
    return _boxes(section, size)[1] + sum(needed) + GAP * (len(needed) - 1)


def laid(section: Section, size: float, wide: float) -> Laid:
    """Lay a section's rows out: columns as wide as needed, the widest cut down where that is too much."""
    boxes, left = _boxes(section, size)
    needed = _needed(section, size)
    room = wide - left - GAP * (len(needed) - 1)
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
