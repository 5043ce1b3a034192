"""The day sheet for the wall: one upright page in large type, with boxes to tick."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from planner.draw.map.flow import Block, draw_page, fill
from planner.draw.paper.formats import paper_size
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put, stroke
from planner.draw.paper.render import look, render
from planner.draw.paper.words import fit, plain, wrap
from planner.draw.sheets.rows import BOLDER, STEP, laid, row_blocks
from planner.section import Section
from planner.style import BLACK, BODY, DAY_LARGEST, DAY_LEAST, FAINT, MM_PER_PT, QUIET
from planner.words import count

MARGIN = 15.0  # mm
HEADING, TITLE = 1.25, 1.7  # sizes of the larger texts, in sizes of a row
MOST = 50  # rows of the smallest type fill a page


@look()
def day_page(title: str, summary: str, sections: Sequence[Section], foot: str, paper: str = "A4") -> bytes:
    """Make the PDF: in type as large as fits, and in the smallest with as many rows as fit.

    Raises ValueError for a paper that is not known.
    """
    return render([day_figure(title, summary, sections, foot, paper)], "pdf")


def day_figure(title: str, summary: str, sections: Sequence[Section], foot: str, paper: str = "A4") -> Page:
    """Draw the page. Raises ValueError for a paper that is not known."""
    across, high = paper_size(paper)
    page = Page(across, high)
    wide = across - 2 * MARGIN
    sections, size = fitted(title, summary, sections, (across, high))
    column = list(day_blocks(title, summary, sections, size, wide))
    draw_page(fill(column, None)[0], page, MARGIN, high - MARGIN)
    above = MARGIN + 0.5 * BODY * MM_PER_PT  # the feet of its letters keep to the margin, too
    put(page, MARGIN, above, fit(foot, BODY, wide), BODY, colour=QUIET, gid="foot")
    return page


def fitted(
    title: str, summary: str, sections: Sequence[Section], paper: tuple[float, float]
) -> tuple[list[Section], float]:
    """The sections that fit on the page, and the size of type in which they do.

    Where the smallest type is too large, the section of most lines loses its last row, again and again.
    """
    room = paper[1] - 2 * MARGIN - 2 * BODY * MM_PER_PT  # the foot's line is kept free
    wide = paper[0] - 2 * MARGIN
    kept, size = [s.cut(MOST) for s in sections], DAY_LARGEST

    def height() -> float:
        return sum(block.height for block in day_blocks(title, summary, kept, size, wide))

    while height() > room and size > DAY_LEAST:
        size -= 0.5
    while height() > room and any(len(s.rows) > 1 for s in kept):
        cuttable = [k for k, s in enumerate(kept) if len(s.rows) > 1]
        i = max(cuttable, key=lambda k: laid(kept[k], size, wide).lines)
        kept[i] = kept[i].cut(len(kept[i].rows) - 1)
    return kept, size


def day_blocks(
    title: str, summary: str, sections: Sequence[Section], size: float, wide: float
) -> Iterator[Block]:
    """Everything from the title down, in rows of ``size`` pt, ``wide`` mm wide."""
    step = STEP * size * MM_PER_PT
    for row in _title_rows(title, size, wide):
        draw = partial(_draw_text, row, TITLE * size, (TITLE - 0.5) * step, True, BLACK)
        yield Block("title", TITLE * step, draw, glued=True)
    yield from text_blocks("title", summary, size, wide, BLACK)
    for k, section in enumerate(sections):
        group = f"section {k}"
        yield heading_block(group, section.title, size, wide, bare=not (section.note or section.rows))
        yield from text_blocks(group, section.note, size, wide, QUIET, glued=bool(section.rows))
        yield from row_blocks(section, group, size, wide)
        if section.more:
            words = f"and {count(section.more, 'more row')}: hangplan today --all"
            yield from text_blocks(group, words, size, wide, BLACK)


def heading_block(group: str, title: str, size: float, wide: float, *, bare: bool = False) -> Block:
    """A section's title over a faint stroke; ``bare``: nothing follows that it must stay with."""
    high = (0.6 + HEADING) * STEP * size * MM_PER_PT
    return Block(group, high, partial(_draw_heading, title, size, wide, high), glued=not bare)


def text_blocks(
    group: str, text: str, size: float, wide: float, colour: str, *, glued: bool = False
) -> Iterator[Block]:
    """A text in as many rows as it takes; ``glued``: what follows stays with it."""
    step = STEP * size * MM_PER_PT
    for row in wrap(plain(text), size, wide):
        yield Block(group, step, partial(_draw_text, row, size, step, False, colour), glued=glued)


def _title_rows(title: str, size: float, wide: float) -> list[str]:
    """The title in one row, or the season's name in one and the day in the next."""
    size *= TITLE * BOLDER
    rows = wrap(plain(title), size, wide)
    name, _, day = plain(title).rpartition(": ")
    if len(rows) > 1 and name:
        rows = [fit(f"{name}:", size, wide), fit(day, size, wide)]
    return rows[:2]


def _draw_text(
    text: str, size: float, down: float, bold: bool, colour: str, page: Page, left: float, top: float
) -> Page:
    put(page, left, top - down, text, size, bold=bold, colour=colour, gid="title" if bold else None)
    return page


def _draw_heading(
    title: str, size: float, wide: float, high: float, page: Page, left: float, top: float
) -> Page:
    y, under = top - high, top - high - 0.25 * STEP * size * MM_PER_PT
    put(page, left, y, fit(title, HEADING * size, wide, True), HEADING * size, bold=True)
    stroke(page, (left, left + wide), (under, under), colour=FAINT, weight=0.8)
    return page
