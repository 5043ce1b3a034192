"""Lids before any move, from above, in large type: who goes in which step and where to, and who stays.

A number on black is the step of the move list; an id beside an open ring is one that stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property, partial
from math import inf

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from planner.draw.data import spot_words
from planner.draw.map.blocks import Block, fill
from planner.draw.map.lid import BESIDE_DOT, SCALES
from planner.draw.paper.boxes import Box, around, middle, outside, room_near
from planner.draw.paper.formats import paper_size
from planner.draw.paper.pen import box, disc, put, stroke
from planner.draw.paper.render import look, page, render
from planner.draw.paper.words import CAP, fit, width, wrap
from planner.season.direction import apart
from planner.season.places import Lid
from planner.season.plan.plan_record import Move, Plan
from planner.season.pupae import Pupa
from planner.season.reading.told_dates import day_text
from planner.season.season import Season
from planner.style import BLACK, BODY, LARGE, LARGER, LIST, MM_PER_PT, QUIET, TITLE, WHITE
from planner.words import CAUTION, count, day_month, natural

MARGIN, FOOT = 12.0, 12.0  # mm
OVER = 3.0  # mm a mark may stand over an edge
HIGHEST, STAYING = 150.0, 85.0  # mm a lid has at most, and one that nobody leaves
LINE = LIST * MM_PER_PT * 1.5  # mm
TAKE = "Take the silk pad, not the pupa."


@dataclass(frozen=True)
class LidPage:
    """One lid: everybody on it now, and the first step of each that the plan moves."""

    lid: Lid
    n: float
    season: Season
    on: datetime
    pupae: tuple[Pupa, ...]
    moves: Mapping[str, Move]

    @property
    def size(self) -> tuple[float, float]:
        """Size of the lid on paper, mm."""
        return self.lid.width * 10 / self.n, self.lid.length * 10 / self.n

    @property
    def goes(self) -> list[Move]:
        """The steps from this lid, in their order."""
        return sorted((self.moves[p.id] for p in self.pupae if p.id in self.moves), key=lambda m: m.step)

    @property
    def stays(self) -> list[Pupa]:
        """Who is not moved."""
        return sorted((p for p in self.pupae if p.id not in self.moves), key=lambda p: natural(p.id))

    @cached_property
    def marks(self) -> dict[str, tuple[tuple[float, float], str, Box | None]]:
        """Of each measured pupa: where it is, its mark's words and room; mm from the lid's corner.

        Movers choose first, each within the edges if it can be, near its dot. A stayer whose id finds no room
        keeps its ring, and is named in the list.
        """
        high = LARGE * MM_PER_PT * 1.15
        at = {
            p.id: (p.x * 10 / self.n, p.y * 10 / self.n)
            for p in self.pupae
            if p.x is not None and p.y is not None
        }
        taken: list[Box] = [around(*dot, 2.4, 2.4) for dot in at.values()]
        found = {}
        for one in [*(m.pupa for m in self.goes), *(p.id for p in self.stays)]:
            if one in at:
                goes = one in self.moves
                words = str(self.moves[one].step) if goes else fit(one, LARGE, 20.0, middle=True)
                wide = max(width(words, LARGE, goes) + 1.6, high if goes else 0.0)
                room = room_near(*at[one], (wide, high), [*self._beyond(-0.5), *taken], wide / 2 + BESIDE_DOT)
                room = room or room_near(*at[one], (wide, high), [*self._beyond(OVER), *taken])
                if room:
                    taken.append(room)
                found[one] = (at[one], words, room)
        return found

    def _beyond(self, over: float) -> list[Box]:
        """What lies more than ``over`` mm beyond the lid's edges."""
        wide, high = self.size
        return outside((-over, -over, wide + over, high + over))


@look()
def lid_sheet(season: Season, plan: Plan, fmt: str, paper: str = "A4") -> bytes:
    """Make the sheet: ``pdf`` in pages, ``png`` and ``svg`` as one sheet as long as it takes.

    Raises ValueError for an unknown paper or format, and when the season has nobody on a lid.
    """
    return render(lid_figures(season, plan, paper, paged=fmt == "pdf"), fmt)


def lid_figures(
    season: Season,
    plan: Plan,
    paper: str = "A4",
    *,
    paged: bool = True,
    numbered: bool = True,
    all_lids: bool = True,
) -> list[Figure]:
    """Draw the pages, upright, with page numbers if wanted; ``all_lids``: also those nobody leaves."""
    sheet = paper_size(paper)
    lids = [one for one in lid_pages(season, plan, sheet[0] - 2 * MARGIN) if one.goes or all_lids]
    if not lids:
        raise ValueError("nobody is on a lid")
    room = sheet[1] - MARGIN - FOOT - 6.0 if paged else None
    pages = fill(list(_blocks(lids, season, plan, sheet[0] - 2 * MARGIN)), room)
    drawn = []
    for number, placed in enumerate(pages, start=1):
        high = sheet[1] if paged else placed[-1][1] + placed[-1][0].height + MARGIN + FOOT + 6.0
        figure, ax = page(sheet[0], high)
        for block, down in placed:
            block.draw(ax, MARGIN, high - MARGIN - down)
        put(ax, MARGIN, 8.0, f"{CAUTION} {TAKE}", BODY, bold=True)
        if numbered:
            put(ax, sheet[0] - MARGIN, 8.0, f"page {number} of {len(pages)}", BODY, ha="right", gid="page")
        drawn.append(figure)
    return drawn


def lid_pages(season: Season, plan: Plan, room: float) -> list[LidPage]:
    """Gather every lid that somebody is on, in the order of their first steps, each as large as fits."""
    first = {m.pupa: m for m in sorted(plan.moves, key=lambda m: -m.step)}
    pages = []
    for lid in (place for place in season.places if isinstance(place, Lid)):
        here = tuple(p for p in season.pupae if p.present and p.place == lid.name)
        if here:
            moves = {m.pupa: m for p in here if (m := first.get(p.id)) and m.from_place == lid.name}
            need = max(lid.width * 10 / room, lid.length * 10 / (HIGHEST if moves else STAYING))
            n = next((n for n in (1.0, 1.5, 2.0, 2.5, 3.0, *SCALES) if n >= need), need)
            pages.append(LidPage(lid, n, season, plan.on, here, moves))
    return sorted(pages, key=lambda one: one.goes[0].step if one.goes else inf)


def _blocks(lids: Sequence[LidPage], season: Season, plan: Plan, room: float) -> Iterator[Block]:
    yield Block("head", 17.0, partial(_draw_title, season, plan, room))
    for i, one in enumerate(lids):
        group = f"lid {i}"
        yield Block(group, 15.0, partial(_draw_heading, one, room), glued=True)
        yield Block(group, one.size[1] + 9.0, partial(_draw_lid, one), glued=True)
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


def _draw_title(season: Season, plan: Plan, room: float, ax: Axes, left: float, top: float) -> Axes:
    put(ax, left, top - 6, fit(f"{apart(season.name)}: lids", TITLE, room, True), TITLE, bold=True)
    day = plan.on.date()
    words = f"As planned on {day_text(day)} {day.year}, before any move. "
    words += "White on black: its step. Ring: it stays."
    put(ax, left, top - 12.5, words, LARGER)
    return ax


def _draw_heading(one: LidPage, room: float, ax: Axes, left: float, top: float) -> Axes:
    words = f"{count(len(one.goes), 'goes', 'go')}, {count(len(one.stays), 'stays', 'stay')}"
    if one.lid.clear:
        words += ", to be cleared"
    words += f"   ·   from above, 1 : {one.n:g}"
    name = fit(one.lid.name, TITLE, room - width(words, LIST) - 6, True)
    put(ax, left, top - 9, name, TITLE, bold=True, gid="lid-name")
    put(ax, left + width(name, TITLE, True) + 5, top - 9, words, LIST)
    return ax


def _draw_lid(one: LidPage, ax: Axes, left: float, top: float) -> Axes:
    wide, high = one.size
    bottom = top - 3.0 - high
    box(ax, (left, bottom), (wide, high), edge=QUIET, weight=1.4, zorder=1, gid=f"lid-{one.lid.name}")
    cap = CAP * LARGE * MM_PER_PT
    for pupa, ((dx, dy), words, room) in one.marks.items():
        x, y, goes = left + dx, bottom + dy, pupa in one.moves
        disc(ax, (x, y), 1.2, fill=BLACK if goes else WHITE, edge=BLACK, lw=1.2, zorder=5, gid=f"dot-{pupa}")
        if room:
            mx, my = middle(room)
            mx, my = left + mx, bottom + my
            stroke(ax, (x, mx), (y, my), weight=0.9, zorder=3)
            size = (room[2] - room[0], room[3] - room[1])
            fill, ink = (BLACK, WHITE) if goes else (WHITE, BLACK)
            box(ax, (mx - size[0] / 2, my - size[1] / 2), size, fill=fill, edge=None, zorder=4)
            put(ax, mx, my - cap / 2, words, LARGE, bold=goes, colour=ink, ha="center", zorder=6,
                gid=f"{'step' if goes else 'stay'}-{pupa}")  # fmt: skip
    return ax


def _draw_move(one: LidPage, move: Move, room: float, ax: Axes, left: float, top: float) -> Axes:
    """Write a row: box to tick, step, id and its day, where to, and from when if not now."""
    season, y = one.season, top - 0.72 * LINE
    side = CAP * LIST * MM_PER_PT * 1.25
    box(ax, (left, y - 0.1 * side), (side, side), weight=0.9, gid="box")
    put(ax, left + 17, y, str(move.step), LIST, bold=True, ha="right")
    pupated = season.pupa[move.pupa].pupated
    when = _moment(one.on, move)
    tail = width(when, BODY) + 3 if when else 0.0
    spot = spot_words(season.place[move.to_place], move.to_spot, season.units)
    wide = min(45.0, max(width(m.pupa, LIST, True) for m in one.goes) + 0.1)
    arrow, day = 46.0 + wide, _day(pupated.day if pupated else None)
    put(ax, left + 21, y, fit(move.pupa, LIST, wide, True, middle=True), LIST, bold=True)
    put(ax, left + arrow - 3, y, day, LIST, ha="right")
    put(ax, left + arrow, y, "→", LIST, bold=True)
    last = room - arrow - 7 - tail - (width(spot, LIST, True) + 2)
    place = fit(move.to_place, LIST, last, True)
    put(ax, left + arrow + 7, y, place, LIST, bold=True)
    put(ax, left + arrow + 9 + width(place, LIST, True), y, spot, LIST, bold=True)
    put(ax, left + room, y, when, BODY, ha="right")
    return ax


def _day(day: date | None) -> str:
    return day_month(day) if day else "prepupa"


def _moment(on: datetime, move: Move) -> str:
    if move.not_before <= on:
        return ""
    return f"not before {day_month(move.not_before.date())} {move.not_before:%H:%M}"


def _draw_words(text: str, ax: Axes, left: float, top: float) -> Axes:
    put(ax, left, top - 0.72 * LINE, text, LIST)
    return ax


def _draw_nothing(ax: Axes, _left: float, _top: float) -> Axes:
    return ax
