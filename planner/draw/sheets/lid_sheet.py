"""Lids before any move, from above, in large type: who goes in which step and where to, and who stays.

A number on black is the step of the move list; an id beside an open ring is one that stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from functools import partial

from planner.draw.data import spot_words
from planner.draw.map.flow import Block, bottom, draw_page, fewest, fill
from planner.draw.paper.formats import paper_size
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, put
from planner.draw.paper.render import look, render
from planner.draw.paper.words import CAP, fit, width, wrap
from planner.draw.sheets.lid_page import HIGHEST, LidPage, draw_lid, lid_pages
from planner.season.direction import apart
from planner.season.plan.plan_record import Move, Plan
from planner.season.pupae import Pupa
from planner.season.reading.told_dates import day_month, short_since, whole_day
from planner.season.season import Season
from planner.style import BODY, LARGER, LIST, MM_PER_PT, TITLE
from planner.words import CAUTION, count, void_steps

MARGIN, FOOT = 12.0, 12.0  # mm
HEIGHTS = (HIGHEST, 120.0, 95.0, 75.0)  # mm of the lids that somebody leaves, as few pages ask for
LINE = LIST * MM_PER_PT * 1.5  # mm
BOLD = 1.15  # times as wide as plain words, at most
TAKE = "Take the silk pad, not the pupa."


@look()
def lid_sheet(season: Season, plan: Plan, fmt: str, paper: str = "A4") -> bytes:
    """Make the sheet: ``pdf`` in pages, ``png`` and ``svg`` as one sheet as long as it takes.

    Raises ValueError for an unknown paper or format, and when the season has nobody on a lid.
    """
    return render(lid_figures(season, plan, paper, paged=fmt == "pdf"), fmt)


def lid_figures(season: Season, plan: Plan, paper: str = "A4", *, paged: bool = True) -> list[Page]:
    """Draw the pages, upright, or one as long as it takes.

    Lids are as large as they can be without taking another page.
    """
    across, tall = paper_size(paper)
    room = across - 2 * MARGIN
    columns = [list(_blocks(lid_pages(season, plan, room, high), season, plan, room)) for high in HEIGHTS]
    pages = fewest(columns, tall - MARGIN - FOOT - 6.0) if paged else fill(columns[0], None)
    drawn = []
    for number, placed in enumerate(pages, start=1):
        page = Page(across, tall if paged else bottom(placed) + MARGIN + FOOT + 6.0)
        draw_page(placed, page, MARGIN, page.height - MARGIN)
        put(page, MARGIN, 8.0, f"{CAUTION} {TAKE}", BODY, bold=True)
        put(page, across - MARGIN, 8.0, f"page {number} of {len(pages)}", BODY, ha="right", gid="page")
        drawn.append(page)
    return drawn


def _blocks(lids: Sequence[LidPage], season: Season, plan: Plan, room: float) -> Iterator[Block]:
    if not lids:
        raise ValueError("nobody is on a lid")
    yield Block("head", 17.0, partial(_draw_title, season, plan, room))
    void = wrap(void_steps(plan.void), LIST, room / BOLD)
    for row in void:
        yield Block("head", LINE, partial(_draw_words, row, bold=True))
    if void:
        yield Block("head", 3.0, _draw_nothing)
    for i, one in enumerate(lids):
        group = f"lid {i}"
        yield Block(group, 15.0, partial(_draw_heading, one, room), glued=True)
        yield Block(group, one.size[1] + 9.0, partial(draw_lid, one), glued=True)
        for move in one.goes:
            yield Block(group, LINE, partial(_draw_move, one, move, room))
        if one.goes:
            yield Block(group, 2.0, _draw_nothing)
        words = [f"stay where they are: {', '.join(_named(p) for p in one.stays)}"] if one.stays else []
        loose = [p.id for p in one.pupae if p.x is None or p.y is None]
        words += [f"not measured, so not in the picture: {', '.join(loose)}"] if loose else []
        for text in words:
            for row in wrap(text, LIST, room):
                yield Block(group, LINE, partial(_draw_words, row))
        yield Block(group, 6.0, _draw_nothing)


def _named(pupa: Pupa) -> str:
    return pupa.id if pupa.pupated else f"{pupa.id} (prepupa)"


def _draw_title(season: Season, plan: Plan, room: float, page: Page, left: float, top: float) -> Page:
    put(page, left, top - 6, fit(f"{apart(season.name)}: lids", TITLE, room, True), TITLE, bold=True)
    day = plan.on.date()
    words = f"As planned on {whole_day(day)}, before any move. "
    words += "White on black: its step. Ring: it stays."
    put(page, left, top - 12.5, words, LARGER)
    return page


def _draw_heading(one: LidPage, room: float, page: Page, left: float, top: float) -> Page:
    words = f"{count(len(one.goes), 'goes', 'go')}, {count(len(one.stays), 'stays', 'stay')}"
    if one.lid.clear:
        words += ", to be cleared"
    words += f"   ·   from above, 1 : {one.n:g}"
    name = fit(one.lid.name, TITLE, room - width(words, LIST) - 6, True)
    put(page, left, top - 9, name, TITLE, bold=True, gid="lid-name")
    put(page, left + width(name, TITLE, True) + 5, top - 9, words, LIST)
    return page


def _draw_move(one: LidPage, move: Move, room: float, page: Page, left: float, top: float) -> Page:
    """Write a row: box to tick, step, id and its day, where to, and from when if not now."""
    season, y = one.season, top - 0.72 * LINE
    side = CAP * LIST * MM_PER_PT * 1.25
    box(page, (left, y - 0.1 * side), (side, side), weight=0.9, gid="box")
    put(page, left + 17, y, str(move.step), LIST, bold=True, ha="right")
    pupated = season.pupa[move.pupa].pupated
    when = _moment(one.on, move)
    tail = width(when, BODY) + 3 if when else 0.0
    spot = spot_words(season.place[move.to_place], move.to_spot, season.units)
    wide = min(45.0, max(width(m.pupa, LIST, True) for m in one.goes) + 0.1)
    arrow, day = 46.0 + wide, _day(pupated.day if pupated else None)
    put(page, left + 21, y, fit(move.pupa, LIST, wide, True, middle=True), LIST, bold=True)
    put(page, left + arrow - 3, y, day, LIST, ha="right")
    put(page, left + arrow, y, "→", LIST, bold=True)
    last = room - arrow - 7 - tail - (width(spot, LIST, True) + 2)
    place = fit(move.to_place, LIST, last, True)
    put(page, left + arrow + 7, y, place, LIST, bold=True)
    put(page, left + arrow + 9 + width(place, LIST, True), y, spot, LIST, bold=True)
    put(page, left + room, y, when, BODY, ha="right")
    return page


def _day(day: date | None) -> str:
    return day_month(day) if day else "prepupa"


def _moment(on: datetime, move: Move) -> str:
    if move.not_before <= on:
        return ""
    return f"not before {short_since(move.not_before)}"


def _draw_words(text: str, page: Page, left: float, top: float, *, bold: bool = False) -> Page:
    put(page, left, top - 0.72 * LINE, text, LIST, bold=bold)
    return page


def _draw_nothing(page: Page, _left: float, _top: float) -> Page:
    return page
