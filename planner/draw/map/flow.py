"""Blocks that follow one another down pages: which stands on which page, and how far down."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from planner.draw.map.parts import Draw
from planner.draw.paper.page import Page

FULL_ENOUGH = 0.3  # of a page: a last one with less is a sheet of paper for four lines


@dataclass(frozen=True)
class Block:
    """Something ``height`` mm high that draws itself with its upper left corner at (left, top).

    Blocks of one ``group`` are not begun in the lower half of a page that cannot hold them all when the next
    can; ``glued``: never last on a page; ``again``: what is repeated above it where it begins a page.
    """

    group: str
    height: float
    draw: Draw
    glued: bool = False
    again: Block | None = None


Placed = list[tuple[Block, float]]
"""The blocks of a page, each with the distance of its upper edge from the page's, mm."""


def fill(column: Sequence[Block], page: float | None) -> list[Placed]:
    """Put blocks on pages ``page`` mm high (None: one endless page)."""
    starts = _starts(column, page)
    return [_placed(column[i:j]) for i, j in pairwise([*starts, len(column)])]


def _starts(column: Sequence[Block], page: float | None) -> list[int]:
    """With which block each page begins."""
    totals = {key: sum(b.height for b in group) for key, group in groupby(column, key=lambda b: b.group)}
    starts, y = [0], 0.0
    for i, block in enumerate(column):
        if page is not None and i > starts[-1]:
            begins = column[i - 1].group != block.group and not column[i - 1].glued
            whole = begins and page / 2 < y and totals[block.group] <= page
            if y + max(totals[block.group] if whole else 0.0, _with_glued(column[i:])) > page:
                starts.append(i)
                y = block.again.height if block.again else 0.0
        y += block.height
    return starts


def _placed(blocks: Sequence[Block]) -> Placed:
    """Blocks below one another on one page."""
    again = blocks[0].again if blocks else None
    found, y = [], 0.0
    for block in (*([again] if again else []), *blocks):
        found.append((block, y))
        y += block.height
    return found


def _with_glued(rest: Sequence[Block]) -> float:
    """Height of the first block and all that must follow it on its page."""
    height = 0.0
    for block in rest:
        height += block.height
        if not block.glued:
            break
    return height


def bottom(placed: Placed) -> float:
    """How far down a page is filled, mm."""
    block, down = placed[-1]
    return down + block.height


def evened(column: Sequence[Block], page: float) -> list[Placed]:
    """Put blocks on as few pages, but begin the last one earlier where it would hold almost nothing."""
    pages = fill(column, page)
    starts = _starts(column, page)
    if len(pages) == 1 or bottom(pages[-1]) >= FULL_ENOUGH * page:
        return pages
    for i in range(starts[-1] - 1, starts[-2], -1):
        if not column[i - 1].glued:
            before, last = _placed(column[starts[-2] : i]), _placed(column[i:])
            if bottom(last) > page or bottom(before) < FULL_ENOUGH * page:
                break
            pages = [*pages[:-2], before, last]
            if bottom(last) >= FULL_ENOUGH * page:
                break
    return pages


def fewest(columns: Iterable[Sequence[Block]], page: float) -> list[Placed]:
    """Put one of several columns on pages: the first, most generous one of those that take the fewest.

    One whose last page is filled well enough is preferred to one whose last page is not.
    """
    found = [evened(column, page) for column in columns]
    return min(found, key=lambda pages: (len(pages), bottom(pages[-1]) < FULL_ENOUGH * page))


def draw_page(placed: Placed, page: Page, left: float, top: float) -> Page:
    """Draw the blocks of a page below ``top``, mm."""
    for block, down in placed:
        block.draw(page, left, top - down)
    return page
