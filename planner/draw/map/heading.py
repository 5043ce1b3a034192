"""The top of a map: title, what the plan comes to, the scale, and what signs and colours mean."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial

from planner.draw.data import Sheet
from planner.draw.map.dividers import draw_card
from planner.draw.map.kept import draw_ring
from planner.draw.map.label import draw_pointer
from planner.draw.map.line import draw_free
from planner.draw.map.links import draw_link, draw_sign, sign_width
from planner.draw.map.scale import Scale
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, disc, put, stroke
from planner.draw.paper.words import fit, width
from planner.season.reading.told_dates import day_month, whole_day
from planner.style import BLACK, BODY, LARGE, LARGER, QUIET, SMALL, TITLE, WHITE, ink_on
from planner.words import count

TITLE_HEIGHT = 17.0  # mm
SIGN_ROW = 5.5
BAR = 50.0  # mm a scale bar has at most
SWATCH = (15.0, 5.0)
_STEP = (SWATCH[0] + 12, SWATCH[1] + 1.5)
_DOT = "   ·   "


def summary(sheet: Sheet) -> str:
    """Say in one line what the plan comes to."""
    movers = sum(h.origin is not None for h in sheet.hung)
    waits = sum(p.wait for p in sheet.pairs)
    parts = [f"Plan of {whole_day(sheet.on)}", count(len(sheet.hung), "pupa", "pupae")]
    parts.append(f"{movers} to move")
    if waits:
        parts.append(f"{count(waits, 'pair')} must wait")
    return _DOT.join(parts)


def draw_title(sheet: Sheet, scale: Scale, room: float, page: Page, left: float, top: float) -> Page:
    """Write whose season it is, what the plan comes to, and whether there are clashes."""
    put(page, left, top - 6, fit(sheet.title, TITLE, room - BAR - 45, True), TITLE, bold=True)
    clashes = sum(not p.wait for p in sheet.pairs)
    row, x, words = top - 13, left, f"0 clashes{_DOT}{summary(sheet)}"
    if clashes:
        sign = count(clashes, "CLASH", "CLASHES")
        draw_sign(sign, False, left + sign_width(sign, LARGE) / 2, row + 1.1, page, LARGE)
        x += sign_width(sign, LARGE) + 4
        words = summary(sheet) + (f"{_DOT}clashes in words at the end" if sheet.above is None else "")
    put(page, x, row, words, LARGER)
    if any(p.place.offers_spots for p in sheet.pictures):  # lids have a scale of their own
        draw_scale_bar(sheet, scale, page, left + room - BAR - 40, top - 6.5)
    return page


def draw_scale_bar(sheet: Sheet, scale: Scale, page: Page, x: float, y: float) -> Page:
    """Draw a bar of a round length in the keeper's unit, and the scale in figures."""
    units = next(u for u in (50, 20, 10, 5, 2, 1) if scale.mm(u * sheet.cm_per_unit) <= BAR or u == 1)
    length = scale.mm(units * sheet.cm_per_unit)
    stroke(page, (x, x + length), (y, y), weight=1.6, gid="scale-bar", butt=True)
    for end in (x, x + length):
        stroke(page, (end, end), (y - 1.2, y + 1.2), weight=1.0)
    put(page, x + length + 2, y - 1.1, f"{units} {sheet.units}   1 : {scale.n:g} on paper", BODY)
    return page


@dataclass(frozen=True)
class _Sign:
    """A sign and what it means: ``draw`` puts it with its left end at (x, y), ``wide`` mm are kept for it."""

    wide: float
    words: str
    draw: Callable[[float, float, Page], object] | None = None
    bold: bool = False

    @property
    def across(self) -> float:
        """Its width with its words, mm."""
        return self.wide + width(self.words, BODY, self.bold)


def _signs(sheet: Sheet) -> Iterator[_Sign]:
    """Those that occur on this map."""
    yield _Sign(0.0, "On a tag:", bold=True)
    yield _Sign(0.0, "day it pupated (large), its id, the day it is due")
    yield _Sign(3.0, "stays", lambda x, y, page: disc(page, (x + 1, y), 0.9, fill=BLACK, edge=WHITE))
    if any(h.origin for h in sheet.hung):
        yield _Sign(13.0, "thick frame: hang it here; ◂ says where it is now", _draw_mover)
    if any(m.usable for p in sheet.pictures if not sheet.folds(p) and not p.place.slides for m in p.free):
        yield _Sign(3.0, "free spot", lambda x, y, page: draw_free([(x + 1, y, True)], page))
    if any(p.kept for p in sheet.pictures):
        yield _Sign(
            4.0, "kept from that day on for one to come", lambda x, y, page: draw_ring((x + 1.5, y), page)
        )
    if any(not m.usable for p in sheet.pictures for m in p.marks):
        words = "not used: out of reach, too little room below, or closed until cleaned"
        yield _Sign(3.0, words, lambda x, y, page: draw_free([(x + 1, y, False)], page))
    if any(not p.wait for p in sheet.pairs):
        wide = sign_width("CLASH")
        yield _Sign(11 + wide, sheet.too_near, partial(_draw_pair, "CLASH", wide))
    if any(p.wait for p in sheet.pairs):
        wide = sign_width("wait")
        yield _Sign(11 + wide, "too close until one of them is moved", partial(_draw_pair, "wait", wide))
    if sheet.cards:
        yield _Sign(
            5.0, "card between two spots", lambda x, y, page: draw_card((x, y), (x + 3, y), page, bar=4.0)
        )


def _draw_mover(x: float, y: float, page: Page) -> None:
    draw_pointer(x + 1.5, y, page)
    box(page, (x + 4.5, y - 1.7), (6, 3.4), weight=2.0)


def _draw_pair(word: str, wide: float, x: float, y: float, page: Page) -> None:
    draw_link((x, y), (x + 8, y), word == "wait", page)
    draw_sign(word, word == "wait", x + 9 + wide / 2, y, page)


def _sign_rows(sheet: Sheet, room: float) -> list[list[tuple[float, _Sign]]]:
    """The signs in rows, each with its distance from the left edge, mm."""
    rows: list[list[tuple[float, _Sign]]] = [[]]
    x = 0.0
    for sign in _signs(sheet):
        if rows[-1] and x + sign.across > room:
            rows.append([])
            x = 0.0
        rows[-1].append((x, sign))
        x += sign.across + (3.0 if sign.bold else 6.0)
    return rows


def signs_height(sheet: Sheet, room: float) -> float:
    """Height of what explains the signs, mm."""
    return SIGN_ROW * len(_sign_rows(sheet, room)) + 1.5


def draw_signs(sheet: Sheet, room: float, page: Page, left: float, top: float) -> Page:
    """Explain the signs that occur, in as many rows as it takes."""
    for i, row in enumerate(_sign_rows(sheet, room)):
        y = top - 3.5 - i * SIGN_ROW
        for x, sign in row:
            if sign.draw:
                sign.draw(left + x, y, page)
            put(page, left + x + sign.wide, y - 1.1, sign.words, BODY, bold=sign.bold)
    return page


def due_days(sheet: Sheet) -> list[tuple[date | None, int]]:
    """Each day somebody is due and how many, unknown last."""
    counts = Counter(h.due for h in sheet.hung)
    known = sorted(d for d in counts if d)
    return [*((d, counts[d]) for d in known), *([(None, counts[None])] if counts[None] else [])]


def _per_row(room: float) -> int:
    return int((room - 26) // _STEP[0])


def days_height(sheet: Sheet, room: float) -> float:
    """Height of the legend of days, mm."""
    return 3.0 + -(-len(due_days(sheet)) // _per_row(room)) * _STEP[1]


def draw_days(sheet: Sheet, scale: Scale, room: float, page: Page, left: float, top: float) -> Page:
    """Show the colour of each due day and how many are due then."""
    put(page, left, top - 3.6, "Due day:", BODY, bold=True)
    for i, (day, number) in enumerate(due_days(sheet)):
        x = left + 22 + i % _per_row(room) * _STEP[0]
        y = top - SWATCH[1] - i // _per_row(room) * _STEP[1]
        fill, words = scale.form.colour(day), day_month(day) if day else "unknown"
        box(page, (x, y), SWATCH, fill=fill)
        put(page, x + SWATCH[0] / 2, y + 1.4, words, SMALL, colour=ink_on(fill), bold=True, ha="center")
        put(page, x + SWATCH[0] + 1.2, y + 1.4, f"× {number}", SMALL, colour=QUIET)
    return page
