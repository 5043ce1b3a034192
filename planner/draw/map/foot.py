"""The end of a map, in words: clashes, waits, and what the drawing cannot show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.draw.data import Hung, Pair, Sheet, spot_words
from planner.draw.map.kept import kept_words
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, put
from planner.draw.paper.words import fit, wrap
from planner.season.direction import apart
from planner.season.reading.told_dates import day_month
from planner.style import BODY, VERMILION
from planner.words import as_told, days

ROW_HEIGHT = 4.6  # mm
INDENT = 6.0
CLASHES, WAITS, STUCK = 30, 8, 12  # as many are told in words; the rest are counted


@dataclass(frozen=True)
class FootRow:
    """One row of text: a heading, or words below one, marked when they begin a clash."""

    text: str
    head: bool = False
    clash: bool = False


def foot_rows(sheet: Sheet, shortened: Sequence[str], room: float) -> Iterator[FootRow]:
    """All rows. ``shortened``: names of places their headings could not hold; ``room``: width, mm."""
    clashes = [p for p in sheet.pairs if not p.wait]
    waits = [p for p in sheet.pairs if p.wait]
    alone = sheet.above is None
    clash_words = _first(sheet, clashes, CLASHES, "clashes") if alone else []
    later = "one of each is moved later" if sheet.waits else "one of each is soft and is moved when firm"
    sections = (
        (f"Clashes ({len(clashes)}): {sheet.too_near}", clash_words),
        (
            f"Must wait ({len(waits)}): {sheet.too_near}; {later}",
            _first(sheet, waits, WAITS, "waiting") if alone else [],
        ),
        (
            f"Left on lids to be cleared ({len(sheet.left)}): soft, darkening, or without a spot so far",
            [", ".join(sheet.left)] if alone else [],
        ),
        (
            f"Left on their lids for now ({len(sheet.waits)}): plan again on the evening for which they wait",
            [", ".join(one.pupa for one in sheet.waits)],
        ),
        (
            f"Recorded, but not in this plan: plan again ({len(sheet.unplanned)})",
            [", ".join(sheet.unplanned)],
        ),
        (
            f"Stay, though another spot was planned ({len(sheet.stuck)})",
            [f"{one.pupa}: {one.why}" for one in sheet.stuck[:STUCK]],
        ),
        (f"Cards ({len(sheet.cards)}): stiff, taller than wings hang, clear of both spots", _cards(sheet)),
        (f"Kept for those to come ({sum(len(p.kept) for p in sheet.pictures)})", kept_words(sheet)),
        ("Names of places in full", shortened),
    )
    for head, paragraphs in sections:
        if any(paragraphs):
            yield FootRow(head, head=True)
            for paragraph in paragraphs:
                for i, row in enumerate(wrap(paragraph, BODY, room - INDENT)):
                    yield FootRow(row, clash=paragraphs is clash_words and i == 0)


def _cards(sheet: Sheet) -> list[str]:
    """Between which spots cards stand."""
    place = {p.place.name: p.place for p in sheet.pictures}

    def end(name: str, spot: str) -> str:
        return f"{apart(fit(name, BODY, 60.0))} {spot_words(place[name], spot, sheet.units)}"

    told = [f"{end(*card.a)} | {end(*card.b)}" for card in sheet.cards]
    return ["   ·   ".join(told)] if told else []


def _first(sheet: Sheet, pairs: Sequence[Pair], most: int, key: str) -> list[str]:
    """Tell of the first pairs, and how many more there are in the plan's file."""
    told = [_words(sheet, p) for p in pairs[:most]]
    return [*told, *([f"and {len(pairs) - most} more, under {key} in plan.yaml"] if pairs[most:] else [])]


def _words(sheet: Sheet, pair: Pair) -> str:
    """Tell of a pair in words."""
    gap = f"due {days(pair.days)} apart" if as_told(pair.days) else "due at the same time"
    if undated := [h.pupa for h in (pair.a, pair.b) if h.due is None]:
        gap = f"no date is known of {' and '.join(undated)}"
    far = (
        f", {sheet.length(pair.distance)} {sheet.units} from each other" if pair.distance is not None else ""
    )
    why = f"; {pair.why}" if pair.why else ""
    return f"{_who(sheet, pair.a)} and {_who(sheet, pair.b)}: {gap}{far}{why}"


def _who(sheet: Sheet, h: Hung) -> str:
    where = sheet.where(h, fit(h.place, BODY, 60.0))
    return f"{h.pupa} ({where}, due {day_month(h.due) if h.due else '?'})"


def draw_foot_row(row: FootRow, page: Page, left: float, top: float) -> Page:
    """Write one row of the foot."""
    y = top - 3.3
    if row.clash:
        box(page, (left + 1, y - 0.4), (3, 3), fill=VERMILION)
        put(page, left + 2.5, y, "!", BODY, bold=True, ha="center")
    put(page, left + (0 if row.head else INDENT), y, row.text, BODY, bold=row.head)
    return page
