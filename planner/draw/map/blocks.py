"""A map as a column of blocks, from the title to the last word, and how blocks fill pages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from matplotlib.axes import Axes

from planner.draw.data import Sheet
from planner.draw.map.foot import ROW_HEIGHT, draw_foot_row, foot_rows
from planner.draw.map.heading import (
    SIGNS_HEIGHT,
    TITLE_HEIGHT,
    days_height,
    draw_days,
    draw_signs,
    draw_title,
)
from planner.draw.map.label import Colours
from planner.draw.map.lid import BESIDE, LidPanel, draw_lid, lid_panels
from planner.draw.map.parts import Draw, Parts
from planner.draw.map.places import describe, draw_name, draw_part, shortened
from planner.draw.map.scale import Scale
from planner.draw.map.stretches import line_parts
from planner.draw.map.tiles import board_parts
from planner.season.direction import apart
from planner.season.places import Lid
from planner.words import count

PARTS: dict[str, Parts] = {"line": line_parts, "board": board_parts}


@dataclass(frozen=True)
class Block:
    """Something ``height`` mm high that draws itself with its upper left corner at (left, top).

    Blocks of one ``group`` are not begun in the lower half of a page that cannot hold them all when the next
    can; ``glued``: never last on a page.
    """

    group: str
    height: float
    draw: Draw
    glued: bool = False


def blocks(sheet: Sheet, scale: Scale, room: float, page: float | None) -> Iterator[Block]:
    """All blocks of a map, top to bottom. ``room``: width, mm; ``page``: height of a page, None: endless."""
    yield Block("head", TITLE_HEIGHT, partial(draw_title, sheet, scale, room))
    if sheet.hung:
        yield Block("head", SIGNS_HEIGHT, partial(draw_signs, sheet))
        yield Block("head", days_height(sheet, room), partial(draw_days, sheet, scale, room))
    long_names: list[str] = []
    for i, picture in enumerate(sheet.pictures):
        if picture.place.offers_spots:
            name, words = picture.place.name, describe(picture, sheet)
            cut = PARTS[picture.place.kind]
            parts = [] if sheet.folds(picture) else list(cut(picture, sheet, scale, room, page))
            if len(parts) > 1:
                words += f"   ·   first {parts[0].span}"
            long_names += shortened([(name, words)], room)
            yield Block(f"place {i}", 8.0, partial(draw_name, name, words, room), glued=bool(parts))
            for j, part in enumerate(parts):
                if j:
                    yield Block(f"place {i}", 4.5, partial(draw_part, name, part.span, room), glued=True)
                yield Block(f"place {i}", part.height, part.draw)
    grid = _lid_grid(sheet, room)
    yield from _lids(sheet, grid, room)
    long_names += [n for p in grid for n in shortened([(p.lid.name, _who_stays(p))], p.wide)]
    for i, row in enumerate(foot_rows(sheet, long_names, room)):
        yield Block(f"foot {i}", ROW_HEIGHT, partial(draw_foot_row, row), glued=row.head)


def _lid_grid(sheet: Sheet, room: float) -> list[LidPanel]:
    """Those lids on which somebody stays."""
    stays = [p for p in sheet.pictures if isinstance(p.place, Lid) and p.hung]
    return lid_panels(stays, Colours.of(sheet.hung), room) if stays else []


def _lids(sheet: Sheet, panels: Sequence[LidPanel], room: float) -> Iterator[Block]:
    """Lids beside each other, small; those that everybody leaves are only named."""
    lids = [p for p in sheet.pictures if isinstance(p.place, Lid)]
    if not lids:
        return
    words = "nobody stays on them"
    if panels:
        words = f"seen from above, 1 : {panels[0].n:g}, those who stay on them; "
        words += "below each: due day, day it pupated, id"
    yield Block("lids", 8.0, partial(draw_name, "Lids", words, room), glued=bool(panels))
    in_row = round((room + BESIDE) / (panels[0].wide + BESIDE)) if panels else 1
    for i in range(0, len(panels), in_row):
        row = panels[i : i + in_row]
        yield Block(f"lids {i}", 9.0 + max(p.height for p in row), partial(_draw_lids, row))
    empty = ", ".join(apart(p.place.name) for p in lids if not p.hung)
    if empty and panels:
        yield Block("lids left", 6.0, partial(draw_part, "Nobody stays on", empty, room))


def _who_stays(panel: LidPanel) -> str:
    words = count(len(panel.picture.hung), "stays", "stay")
    return f"{words}, to be cleared" if panel.lid.clear else words


def _draw_lids(panels: Sequence[LidPanel], ax: Axes, left: float, top: float) -> Axes:
    for i, panel in enumerate(panels):
        x = left + i * (panel.wide + BESIDE)
        draw_name(panel.lid.name, _who_stays(panel), panel.wide, ax, x, top + 1.5)
        draw_lid(panel, ax, x, top - 7.0)
    return ax


def fill(column: Sequence[Block], page: float | None) -> list[list[tuple[Block, float]]]:
    """Put blocks on pages; each with the distance of its upper edge from the page's, mm."""
    pages: list[list[tuple[Block, float]]] = [[]]
    totals = {key: sum(b.height for b in group) for key, group in groupby(column, key=lambda b: b.group)}
    y = 0.0
    for i, block in enumerate(column):
        if page is not None and pages[-1]:
            starts = column[i - 1].group != block.group
            whole = starts and page / 2 < y and totals[block.group] <= page
            if y + max(totals[block.group] if whole else 0.0, _with_glued(column[i:])) > page:
                pages.append([])
                y = 0.0
        pages[-1].append((block, y))
        y += block.height
    return pages


def _with_glued(rest: Sequence[Block]) -> float:
    """Height of the first block and all that must follow it on its page."""
    height = 0.0
    for block in rest:
        height += block.height
        if not block.glued:
            break
    return height
