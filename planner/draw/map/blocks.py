"""A map as a column of blocks, from the title to the last word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.flow import Block
from planner.draw.map.foot import ROW_HEIGHT, draw_foot_row, foot_rows
from planner.draw.map.heading import (
    TITLE_HEIGHT,
    days_height,
    draw_days,
    draw_signs,
    draw_title,
    signs_height,
)
from planner.draw.map.label import Colours
from planner.draw.map.lid import BESIDE, LidPanel, draw_lid, lid_panels
from planner.draw.map.parts import Parts
from planner.draw.map.places import describe, draw_name, draw_part, name_height, shortened
from planner.draw.map.scale import Scale
from planner.draw.map.stretches import line_parts
from planner.draw.map.tiles import board_parts
from planner.draw.paper.page import Page
from planner.season.direction import apart
from planner.season.places import Lid
from planner.words import count

PARTS: dict[str, Parts] = {"line": line_parts, "board": board_parts}


def blocks(sheet: Sheet, scale: Scale, room: float, page: float | None) -> Iterator[Block]:
    """All blocks of a map, top to bottom. ``room``: width, mm; ``page``: height of a page, None: endless."""
    yield Block("head", TITLE_HEIGHT, partial(draw_title, sheet, scale, room), glued=bool(sheet.hung))
    if sheet.hung:
        yield Block("head", signs_height(sheet, room), partial(draw_signs, sheet, room), glued=True)
        yield Block("head", days_height(sheet, room), partial(draw_days, sheet, scale, room))
    long_names: list[str] = []
    for i, picture in enumerate(sheet.pictures):
        if picture.place.offers_spots:
            name, words = picture.place.name, describe(picture, sheet)
            cut, own = PARTS[picture.place.kind], scale.of(picture)
            parts = [] if sheet.folds(picture) else list(cut(picture, sheet, own, room, page))
            if own is not scale and parts:
                words += f"   ·   1 : {own.n:g}"
            if len(parts) > 1:
                words += f"   ·   first {parts[0].span}"
            long_names += shortened([name], room)
            heading = partial(draw_name, name, words, room)
            yield Block(f"place {i}", name_height(name, words, room), heading, glued=bool(parts))
            for j, part in enumerate(parts):
                if j:
                    yield Block(f"place {i}", 4.5, partial(draw_part, name, part.span, room), glued=True)
                yield Block(f"place {i}", part.height, part.draw)
    grid = _lid_grid(sheet, room)
    yield from _lids(sheet, grid, room)
    long_names += [name for p in grid for name in shortened([p.lid.name], p.wide)]
    for i, row in enumerate(foot_rows(sheet, long_names, room)):
        yield Block(f"foot {i}", ROW_HEIGHT, partial(draw_foot_row, row), glued=row.head)


def _lid_grid(sheet: Sheet, room: float) -> list[LidPanel]:
    """Those lids on which somebody stays."""
    stays = [p for p in _lids_of(sheet) if p.hung]
    return lid_panels(stays, Colours.of(sheet.hung), room) if stays else []


def _lids_of(sheet: Sheet) -> list[PlacePicture]:
    """The lids that are not drawn above."""
    above = sheet.above or ()
    return [p for p in sheet.pictures if isinstance(p.place, Lid) and p.place.name not in above]


def _lids(sheet: Sheet, panels: Sequence[LidPanel], room: float) -> Iterator[Block]:
    """Lids beside each other, small; those that everybody leaves are only named."""
    lids = _lids_of(sheet)
    if not lids or (sheet.above and not panels):
        return
    words = "nobody stays on them"
    if panels:
        words = f"seen from above, 1 : {panels[0].n:g}, those who stay on them; "
        words += "below each: due day, day it pupated, id"
    high = name_height("Lids", words, room)
    yield Block("lids", high, partial(draw_name, "Lids", words, room), glued=bool(panels))
    in_row = round((room + BESIDE) / (panels[0].wide + BESIDE)) if panels else 1
    for i in range(0, len(panels), in_row):
        row = panels[i : i + in_row]
        heads = max(name_height(p.lid.name, _who_stays(p), p.wide) for p in row)
        high = heads + 1.0 + max(p.height for p in row)
        yield Block(f"lids {i}", high, partial(_draw_lids, row, heads))
    empty = ", ".join(apart(p.place.name) for p in lids if not p.hung)
    if empty and panels:
        yield Block("lids left", 6.0, partial(draw_part, "Nobody stays on", empty, room))


def _who_stays(panel: LidPanel) -> str:
    words = count(len(panel.picture.hung), "stays", "stay")
    return f"{words}, to be cleared" if panel.lid.clear else words


def _draw_lids(panels: Sequence[LidPanel], heads: float, page: Page, left: float, top: float) -> Page:
    for i, panel in enumerate(panels):
        x = left + i * (panel.wide + BESIDE)
        draw_name(panel.lid.name, _who_stays(panel), panel.wide, page, x, top + 1.5)
        draw_lid(panel, page, x, top + 1.0 - heads)
    return page
