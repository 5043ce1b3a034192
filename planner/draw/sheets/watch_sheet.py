"""A sheet to watch by: for each pupa a large card with a bar to colour, a part a day, and a box for each day.

On the last page the tally: a row for each day, a square to colour for each adult that emerges on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from math import ceil

from planner.draw.map.flow import Block, draw_page, fill
from planner.draw.paper.formats import paper_size
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, put, stroke
from planner.draw.paper.render import look, render
from planner.draw.paper.words import fit, width
from planner.season.direction import apart
from planner.season.reading.told_dates import MONTHS, day_month, day_text, month_first
from planner.style import BODY, FAINT, LARGE, LARGER, LIST, QUIET, SMALLEST, TITLE
from planner.words import count

MARGIN, FOOT = 12.0, 12.0  # mm
CARD = 36.5  # mm high, with the space below it
NAMED = 50.0  # mm wide: what stands at the left of the days
WIDEST = 11.0  # mm of a day
NUMBER = 5.0  # mm that the number of a day takes
MOST_DAYS = 60  # more parts of a bar than that cannot be coloured
ID = 26.0  # pt
UNDATED = 16  # parts of the bar of one whose day of pupation is not known
ROW = 8.0  # mm of a day in the tally
SQUARE = 6.0  # mm
LEAST_SQUARES = 6  # of a day in the tally
CAUTION = "Look, do not touch. A soft or darkening pupa is never moved, a drying adult never shaken."
HOW = "Colour one part of the bar each day. Below it: g = green, d = dark, e = emerged."


@dataclass(frozen=True)
class Watched:
    """One pupa to watch; days None: not known yet. ``hangs``: where, in words."""

    id: str
    species: str
    hangs: str
    pupated: date | None
    first: date | None
    last: date | None

    @property
    def days(self) -> tuple[date, ...]:
        """From the day of pupation to the last of those on which it may well emerge, and one more.

        None where that is not known, or too long for a bar.
        """
        if self.pupated is None or self.last is None:
            return ()
        found = tuple(_days(self.pupated, self.last + timedelta(days=1)))
        return found if len(found) <= MOST_DAYS else ()


@look()
def watch_sheet(title: str, pupae: Sequence[Watched], expected: Mapping[date, float], paper: str) -> bytes:
    """Make the PDF of `watch_figures`."""
    return render(watch_figures(title, pupae, expected, paper), "pdf")


def watch_figures(
    title: str, pupae: Sequence[Watched], expected: Mapping[date, float], paper: str = "A4"
) -> list[Page]:
    """Draw the pages, upright: the cards in their order, then the tally.

    Parameters
    ----------
    expected
        Day → how many are expected to emerge on it.

    Raises ValueError for an unknown paper, and when there is nobody to watch.
    """
    if not pupae:
        raise ValueError("there is nobody to watch")
    across, tall = paper_size(paper)
    room, high = across - 2 * MARGIN, tall - MARGIN - FOOT
    pages = fill(list(_cards(title, pupae, room)), high)
    if expected:
        pages += fill(list(_tally(title, len(pupae), expected, room)), high)
    drawn = []
    for number, placed in enumerate(pages, start=1):
        page = Page(across, tall)
        draw_page(placed, page, MARGIN, tall - MARGIN)
        put(page, MARGIN, 7.0, CAUTION, BODY, bold=True)
        put(page, across - MARGIN, 7.0, f"page {number} of {len(pages)}", BODY, ha="right", gid="page")
        drawn.append(page)
    return drawn


def _cards(title: str, pupae: Sequence[Watched], room: float) -> Iterator[Block]:
    head = Block("head", 16.0, partial(_draw_title, title, HOW, room), glued=True)
    yield head
    for one in pupae:
        yield Block(one.id, CARD, partial(_draw_card, one, room))


def _draw_title(title: str, words: str, room: float, page: Page, left: float, top: float) -> Page:
    put(page, left, top - 6, fit(apart(title), TITLE, room, True), TITLE, bold=True)
    put(page, left, top - 12, fit(words, LARGER, room), LARGER)
    return page


def _draw_card(one: Watched, room: float, page: Page, left: float, top: float) -> Page:
    """Its frame, at the left its name and its days, at the right a part of the bar and a box for each day."""
    low, high = top - CARD + 3.0, CARD - 3.0
    box(page, (left, low), (room, high), weight=0.8, gid="card")
    wide = NAMED - 6.0
    size = ID
    while size > LARGE and width(one.id, size, True) > wide:
        size -= 1.0
    put(page, left + 3, top - 11.0, fit(one.id, size, wide, True, middle=True), size, bold=True, gid="id")
    when = f"pupated {day_month(one.pupated)}" if one.pupated else "hangs in a J: no day yet"
    rows = [row for row in (one.species, when, *_may_emerge(one), one.hangs) if row]
    for k, row in enumerate(rows):
        put(page, left + 3, top - 16.5 - k * 4.6, fit(row, LARGER, wide), LARGER)
    days: Sequence[date | None] = one.days or (None,) * UNDATED
    part = min(WIDEST, (room - NAMED - 4.0) / len(days))
    for k, day in enumerate(days):
        _draw_day(one, k, day, part, page, left + NAMED + k * part, top)
    return page


def _may_emerge(one: Watched) -> list[str]:
    if one.first is None or one.last is None:
        return []
    first, last = day_month(one.first), day_month(one.last)
    if one.first.month == one.last.month:  # 10 to 14 Apr, or Apr 10 to 14
        first, last = (first, str(one.last.day)) if month_first() else (str(one.first.day), last)
    return [f"due {first} to {last}" if one.first != one.last else f"due {day_month(one.first)}"]


def _draw_day(one: Watched, k: int, day: date | None, part: float, page: Page, x: float, top: float) -> None:
    """The number of a day, its part of the bar, thicker where it may emerge, and a box to write in."""
    may = day is not None and one.first is not None and one.last is not None and one.first <= day <= one.last
    if day is not None:
        if k % ceil(NUMBER / part) == 0:
            size = LARGER if part > NUMBER else SMALLEST
            put(page, x + part / 2, top - 9.0, str(day.day), size, ha="center", bold=may)
        if day == one.pupated or day.day == 1:
            put(page, x, top - 4.5, MONTHS[day.month - 1], BODY, colour=QUIET)
    box(page, (x, top - 19.5), (part, 8.5), weight=2.0 if may else 0.5, zorder=4 if may else 3, gid="bar")
    box(page, (x + 0.4, top - 31.5), (part - 0.8, 9.5), weight=0.5, edge=FAINT, gid="day")


def _tally(title: str, number: int, expected: Mapping[date, float], room: float) -> Iterator[Block]:
    """A row for each day on which somebody may emerge, with squares to colour, and the sums to write in."""
    words = f"Colour one square for each that emerges. {count(number, 'pupa', 'pupae')} in all."
    yield Block("tally", 16.0, partial(_draw_title, f"{title}: the tally", words, room), glued=True)
    head = Block("tally", 7.0, partial(_draw_tally_head, room), glued=True)
    yield head
    days = list(_days(min(expected), max(expected)))
    most = int((room - 62.0) // SQUARE)
    for day in days:
        mean = expected.get(day, 0.0)
        squares = min(most, number, max(LEAST_SQUARES, round(2 * mean) + 3))
        yield Block("rows", ROW, partial(_draw_tally_day, day, mean, squares, room), again=head)
    yield Block("sums", 32.0, partial(_draw_sums, number, room))


def _draw_tally_head(room: float, page: Page, left: float, top: float) -> Page:
    for x, name in ((0.0, "day"), (26.0, "expected"), (46.0, "emerged")):
        put(page, left + x, top - 5.0, name, BODY, colour=QUIET)
    put(page, left + room, top - 5.0, "how many", BODY, colour=QUIET, ha="right")
    return page


def _draw_tally_day(
    day: date, mean: float, squares: int, room: float, page: Page, left: float, top: float
) -> Page:
    y = top - ROW
    put(page, left, y + 2.6, day_text(day), LARGER)
    put(page, left + 38.0, y + 2.6, f"about {mean:.0f}" if mean >= 0.5 else "perhaps", LARGER, ha="right")
    for k in range(squares):
        box(page, (left + 46.0 + k * SQUARE, y + 1.0), (SQUARE, SQUARE), weight=0.6, gid="square")
    stroke(page, [left + room - 14.0, left + room], [y + 1.5, y + 1.5], weight=0.6)
    return page


def _draw_sums(number: int, room: float, page: Page, left: float, top: float) -> Page:
    rows = ("emerged and flew", "emerged, but wings not whole", "did not emerge")
    for k, words in enumerate(rows):
        y = top - 9.0 - k * 9.0
        put(page, left, y, words, LIST)
        stroke(page, [left + 80.0, left + 100.0], [y - 1.0, y - 1.0], weight=0.6)
    x = left + 106.0
    put(page, x, top - 18.0, fit(f"together: {number}", LIST, room - 106.0), LIST)
    return page


def _days(first: date, last: date) -> Iterator[date]:
    """Both ends included."""
    for k in range((last - first).days + 1):
        yield first + timedelta(days=k)
