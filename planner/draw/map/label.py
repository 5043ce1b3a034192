"""The date tag that the map shows at each taken spot: day pupated large, then id, then day due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import NamedTuple

import matplotlib
from matplotlib.colors import to_hex

from planner.draw.data import Hung
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, disc, put, triangle
from planner.draw.paper.words import CAP, fit, width
from planner.season.reading.told_dates import MONTHS, day_month, month_first
from planner.style import BLACK, MM_PER_PT, UNKNOWN, VERMILION, WHITE, ink_on

PAD, SIDE = 0.7, 0.9  # mm between a tag's edge and its text, above or below and beside it
DROP = 1.3  # mm from the spot down to the tag's upper edge
WIDEST_ID = 13.0  # mm; a longer id is shortened in its middle
DAY, MONTH = 1.55, 1.05  # sizes of the day pupated and its month, in sizes of the small text
HERE = "◂ "  # before where a mover is now
FIRST, NEXT = 1.32, 1.08  # heights of the large and of each small row, likewise


@dataclass(frozen=True)
class Colours:
    """The colour of each due day, from the earliest (dark) to the latest (light)."""

    first: date
    last: date

    @classmethod
    def of(cls, hung: Sequence[Hung]) -> Colours | None:
        """Span the due days of everybody shown; None when there is none."""
        dues = [h.due for h in hung if h.due]
        return cls(min(dues), max(dues)) if dues else None

    @property
    def short(self) -> bool:
        """Whether no day of the month comes twice (28 days: the shortest month)."""
        return (self.last - self.first).days < 28

    def __call__(self, due: date | None) -> str:
        """Give the colour of a day as ``#rrggbb``."""
        if due is None:
            return UNKNOWN
        span = (self.last - self.first).days
        return _along((due - self.first).days / span if span else 1.0)


@lru_cache(maxsize=1024)
def _along(part: float) -> str:
    """Colour at a part of the scale; the library makes the whole scale anew each time it is asked."""
    return to_hex(matplotlib.colormaps["cividis"](part))


class Row(NamedTuple):
    """One row of small text on a tag; ``strip``: bold, on that colour; ``origin``: may be shortened."""

    text: str
    strip: str | None = None
    origin: bool = False


@dataclass(frozen=True)
class Form:
    """How all tags of a map are set: type size in pt, width in mm, most small rows, the due colours."""

    small: float
    width: float
    rows: int
    colours: Colours | None

    @property
    def height(self) -> float:
        """Height of the tallest tag, mm."""
        return self._height(self.rows)

    def height_of(self, h: Hung) -> float:
        """Height of one tag, mm."""
        return self._height(self.count_of(h))

    def _height(self, rows: int) -> float:
        return 2 * PAD + (FIRST + NEXT * rows) * self.small * MM_PER_PT

    def colour(self, due: date | None) -> str:
        """Colour of a tag."""
        return self.colours(due) if self.colours else UNKNOWN

    def count_of(self, h: Hung) -> int:
        """How many rows `rows_of` lists, without setting them: asked of each tag many times."""
        return min(self.rows, 2 + (h.clash or h.wait) + bool(h.origin))

    def rows_of(self, h: Hung) -> list[Row]:
        """List the small rows, most needed first."""
        if h.pupated is None:
            due = "prepupa"
        elif h.due is None:
            due = "due ?"
        else:
            due = f"due {h.due.day}" if self.colours and self.colours.short else f"due {day_month(h.due)}"
        rows = [Row(fit(h.pupa, self.small, WIDEST_ID, middle=True)), Row(due)]
        if h.clash:
            rows.append(Row("CLASH", VERMILION))
        if h.wait and not h.clash:
            rows.append(Row("wait", WHITE))
        if h.origin:
            rows.append(Row(HERE + h.origin, origin=True))
        return rows[: self.rows]

    def needed_width(self, hung: Sequence[Hung], *, origins: bool) -> float:
        """Width that holds all texts of these tags, mm; ``origins``: also where movers come from."""
        rows = {r for h in hung for r in self.rows_of(h) if origins or not r.origin}
        small = [width(r.text, self.small, r.strip is not None) for r in rows]
        days = {h.pupated: h for h in hung}.values()
        return 2 * SIDE + max([*small, *(self.date_width(h) for h in days)], default=8.0)

    def date_width(self, h: Hung) -> float:
        """Width of the large row, mm."""
        parts = [width(text, size * self.small, True) for text, size in large_row(h)]
        return sum(parts) + 0.7 * (len(parts) - 1)


def large_row(h: Hung) -> list[tuple[str, float]]:
    """Day and month it pupated, with their sizes; ``J`` for a prepupa, which hangs like one."""
    if not h.pupated:
        return [("J", DAY)]
    row = [(str(h.pupated.day), DAY), (MONTHS[h.pupated.month - 1], MONTH)]
    return row[::-1] if month_first() else row


def draw_label(h: Hung, form: Form, x: float, top: float, page: Page) -> Page:
    """Draw one tag hanging with the middle of its upper edge at (x, top), mm on paper."""
    height, left = form.height_of(h), x - form.width / 2
    fill = form.colour(h.due)
    ink = ink_on(fill)
    if h.clash:  # a second, wider frame, so that a mover's own thick frame still shows
        corner, size = (left - 0.9, top - height - 0.4), (form.width + 1.8, height + 0.8)
        box(page, corner, size, fill=VERMILION, weight=0.4, zorder=3.9)
    box(page, (left, top - height), (form.width, height), fill=fill, weight=2.0 if h.origin else 0.5,
        ls="--" if h.wait and not h.clash else "-", zorder=4, gid=f"tag-{h.pupa}")  # fmt: skip
    em = form.small * MM_PER_PT
    y = top - PAD - DAY * CAP * em
    half, gid = form.date_width(h) / 2, f"text-{h.pupa}"
    (first, large), *rest = large_row(h)
    put(page, x - half, y, first, large * form.small, bold=True, colour=ink, gid=gid)
    for text, small in rest:
        put(page, x + half, y, text, small * form.small, bold=True, colour=ink, ha="right", gid=gid)
    y -= 0.08 * em
    for row in form.rows_of(h):
        y -= NEXT * em
        strong = row.strip is not None
        if row.strip:
            box(
                page,
                (left + 0.3, y - 0.27 * em),
                (form.width - 0.6, NEXT * em),
                fill=row.strip,
                edge=None,
                zorder=4.5,
            )
        room = form.width - 2 * SIDE + 0.2
        text = row.text
        if row.origin:  # the frame shows that it moves; the name is what is needed
            name = text.removeprefix(HERE)
            tried = (lead + name for lead in (HERE, HERE.rstrip()))
            text = next((one for one in tried if width(one, form.small) <= room), name)
        text = fit(text, form.small, room, strong, middle=True)
        colour = ink_on(row.strip) if row.strip else ink
        put(page, x, y, text, form.small, bold=strong, colour=colour, ha="center", gid=gid)
    return page


def draw_spot(h: Hung, x: float, y: float, page: Page) -> Page:
    """Mark a taken spot: a dot for one that stays, a pointer down to its tag for one to be hung here."""
    if h.origin:
        draw_pointer(x, y, page, gid=f"pointer-{h.pupa}")
    else:
        disc(page, (x, y), 0.9, fill=BLACK, edge=WHITE, zorder=6, gid=f"dot-{h.pupa}")
    return page


def draw_pointer(x: float, y: float, page: Page, gid: str | None = None) -> Page:
    """Draw the sign of one to be hung here."""
    corners = [(x - 1.5, y + 1.1), (x + 1.5, y + 1.1), (x, y - 1.5)]
    triangle(page, corners, fill=BLACK, edge=WHITE, zorder=6, gid=gid)
    return page
