"""The list below a lid: who of those on it is due when, who is one of a pair, who was not measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from planner.draw.data import Hung, PlacePicture
from planner.draw.map.label import Colours
from planner.draw.map.links import draw_sign, sign_width
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, put
from planner.draw.paper.words import CAP, width, wrap
from planner.season.reading.told_dates import day_month
from planner.style import BLACK, MM_PER_PT, SMALL, UNKNOWN, ink_on
from planner.words import count, natural

ROW = 3.8  # mm
PAD = 0.9  # mm beside a due day in its swatch
BETWEEN = 1.8  # mm
FEW = 8  # as many of a pair are named; more are counted, the picture has them


@dataclass(frozen=True)
class ListRow:
    """One day: its swatch, when those due then pupated, and who they are, in as many rows as it takes.

    ``sign``: not a day but ``CLASH`` or ``wait``. ``indent``: from the left edge to the ids, mm.
    """

    lead: str
    fill: str
    pupated: str
    lines: tuple[str, ...]
    indent: float
    sign: bool = False


def list_rows(picture: PlacePicture, colours: Colours | None, wide: float) -> list[ListRow]:
    """Give the rows of a list ``wide`` mm wide, the first due first."""
    return [*_days(picture, colours, wide), *_pairs(picture, wide), *_unmeasured(picture, wide)]


def _days(picture: PlacePicture, colours: Colours | None, wide: float) -> Iterator[ListRow]:
    def key(h: Hung) -> tuple[date, date]:
        return h.due or date.max, h.pupated or date.max

    for _, group in groupby(sorted(picture.hung, key=key), key=key):
        ones = list(group)
        due, pupated = ones[0].due, ones[0].pupated
        short = colours is not None and colours.short
        lead = f"due {'?' if due is None else due.day if short else day_month(due)}"
        words = day_month(pupated) if pupated else "prepupa: do not touch"
        indent = width(lead, SMALL, True) + 2 * PAD + width(words, SMALL) + 2 * BETWEEN
        ids = tuple(wrap(", ".join(sorted((h.pupa for h in ones), key=natural)), SMALL, wide - indent))
        yield ListRow(lead, colours(due) if colours else UNKNOWN, words, ids, indent)


def _pairs(picture: PlacePicture, wide: float) -> Iterator[ListRow]:
    """Name those of a pair, or count them when there are many."""
    for sign, ones in (
        ("CLASH", [h.pupa for h in picture.hung if h.clash]),
        ("wait", [h.pupa for h in picture.hung if h.wait and not h.clash]),
    ):
        if ones:
            indent = sign_width(sign) + BETWEEN
            waits = sum(p.wait for p in picture.pairs)
            many = f"{len(ones)} of them ({count(waits, 'pair')}), dashed above"
            words = ", ".join(ones) if sign == "CLASH" or len(ones) <= FEW else many
            yield ListRow(sign, "", "", tuple(wrap(words, SMALL, wide - indent)), indent, sign=True)


def _unmeasured(picture: PlacePicture, wide: float) -> Iterator[ListRow]:
    ones = [h.pupa for h in picture.hung if h.x is None or h.y is None]
    if ones:
        yield ListRow("", "", "", tuple(wrap(f"not measured: {', '.join(ones)}", SMALL, wide)), 0.0)


def list_height(rows: Sequence[ListRow]) -> float:
    """Height of a list, mm."""
    return ROW * sum(len(r.lines) for r in rows)


def draw_list(rows: Sequence[ListRow], page: Page, left: float, top: float) -> Page:
    """Write a list with its upper left corner at (left, top), mm on paper."""
    high = CAP * SMALL * MM_PER_PT
    y = top - (ROW + high) / 2
    for row in rows:
        wide = width(row.lead, SMALL, True) + 2 * PAD
        if row.sign:
            draw_sign(row.lead, row.lead == "wait", left + (row.indent - BETWEEN) / 2, y + high / 2, page)
        elif row.lead:
            box(page, (left, y - 0.6), (wide, ROW - 0.6), fill=row.fill)
            put(page, left + PAD, y, row.lead, SMALL, bold=True, colour=ink_on(row.fill))
            put(page, left + wide + BETWEEN, y, row.pupated, SMALL, colour=BLACK)
        for line in row.lines:
            put(page, left + row.indent, y, line, SMALL)
            y -= ROW
    return page
