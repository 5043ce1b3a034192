"""Words, numbers and columns for texts that a keeper reads in a terminal or on paper.

Everything here is plain ASCII but for the keeper's own names, so that any terminal and printer can show it.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from itertools import groupby, zip_longest

from planner.season.places import Lid, Line, Place
from planner.season.season import Season
from planner.season.when import MONTHS, day_text

WIDTH = 80
CAUTION = "Never move a soft or darkening pupa. Pins and tweezers are sharp."
_NUMBERED = re.compile(r"(.*?)(\d{0,9})")


def columns(text: str) -> int:
    """How many columns of a terminal a text takes: East Asian letters take two, accents set apart none."""
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) != 0 for c in text)


def pad(text: str, width: int) -> str:
    """Fill a text with space on its right."""
    return text + " " * (width - columns(text))


def wrap(text: str, width: int) -> list[str]:
    """Break a text at its spaces into rows of at most ``width`` columns; longer words are cut."""
    rows = [""]
    for word in text.split():
        joined = f"{rows[-1]} {word}" if rows[-1] else word
        if columns(joined) <= width:
            rows[-1] = joined
            continue
        if rows[-1]:
            rows.append("")
        for letter in word:
            if columns(rows[-1] + letter) > width:
                rows.append("")
            rows[-1] += letter
    return rows


def paragraph(text: str, indent: str = "", hang: str = "", width: int = WIDTH) -> str:
    """Wrap a text to a page's width: ``indent`` before the first row, and ``hang`` more before others."""
    rows = wrap(text, width - len(indent) - len(hang))
    return "\n".join(indent + (hang if i else "") + row for i, row in enumerate(rows))


def count(number: int, one: str, many: str | None = None) -> str:
    """``1 pupa``, ``2 pupae``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def days(number: float) -> str:
    """``1 day``, ``1.96 days``: never rounded up, for less than the gap must not read like the gap."""
    floored = math.floor(number * 100 + 1e-5) / 100
    return f"{floored:g} day" if floored == 1 else f"{floored:g} days"


def moment(when: datetime) -> str:
    """``Mon 5 Jul 08:00``."""
    return f"{day_text(when.date())} {when:%H:%M}"


def day_month(day: date | None) -> str:
    """``5 Jul``; ``?`` where no day is known."""
    return f"{day.day} {MONTHS[day.month - 1]}" if day else "?"


def short_moment(when: datetime) -> str:
    """``5 Jul 08:00``."""
    return f"{day_month(when)} {when:%H:%M}"


def length(season: Season, cm: float) -> str:
    """Give a length in the keeper's unit."""
    return f"{cm / season.cm_per_unit:.3g} {season.units}"


def spot_name(season: Season, place: Place | None, spot: str) -> str:
    """``36 cm`` on a line, ``r2p5`` on a board, ``12,5`` on a lid, ``?`` where it was never measured."""
    if isinstance(place, Line):
        return f"{spot} {season.units}"
    return "?" if isinstance(place, Lid) and spot.startswith("?") else spot


def where(season: Season, name: str, spot: str) -> str:
    """``north 36 cm``; on a lid its name is enough."""
    place = season.place.get(name)
    return name if isinstance(place, Lid) else f"{name} {spot_name(season, place, spot)}"


def ids(names: Iterable[str]) -> str:
    """Name pupae in order, three or more in a row as ``m4 to m9``."""
    ordered = sorted(set(names), key=natural)
    parts: list[str] = []
    for _, run in groupby(enumerate(ordered), key=lambda e: _run(*e)):
        found = [name for _, name in run]
        parts += found if len(found) < 3 else [f"{found[0]} to {found[-1]}"]
    return ", ".join(parts)


def few_ids(names: Sequence[str], most: int = 60) -> str:
    """The same, or only how many where that is longer than ``most`` letters."""
    text = ids(names)
    return text if len(text) <= most else count(len(names), "pupa", "pupae")


def natural(name: str) -> tuple[str, int, str]:
    """What to sort ids by: m2 before m10."""
    match = _NUMBERED.fullmatch(name)
    return (match[1], int(match[2] or 0), name) if match else (name, 0, name)


def _run(index: int, name: str) -> tuple[str, int, str]:
    """Equal for names that follow on one another; a name like ``m07`` or without a number runs alone."""
    stem, number, _ = natural(name)
    alone = "" if name == f"{stem}{number}" else name
    return stem, number - index, alone


def table(
    rows: Sequence[Sequence[str]],
    flexible: Sequence[int],
    indent: str = "",
    notes: Sequence[str] = (),
    width: int = WIDTH,
) -> list[str]:
    """Lay out rows of equally many cells, two spaces between columns, as lines within the page's width.

    Where that is too narrow the ``flexible`` columns are wrapped, the widest most, to 8 at the least.
    ``notes``: for each row a text to stand below it, from the second column on, or nothing.
    """
    widths = [max(map(columns, column)) for column in zip(*rows, strict=True)]
    room = width - len(indent) - 2 * (len(widths) - 1)
    while sum(widths) > room and (most := max(widths[k] for k in flexible)) > 8:
        widths[next(k for k in flexible if widths[k] == most)] -= 1
    lines = []
    for row, note in zip_longest(rows, notes, fillvalue=""):
        wrapped = [wrap(c, widths[k]) if k in flexible else [c] for k, c in enumerate(row)]
        for cells in zip_longest(*wrapped, fillvalue=""):
            line = "  ".join(pad(cell, wide) for cell, wide in zip(cells, widths, strict=True))
            lines.append((indent + line).rstrip())
        if note:
            lines += paragraph(note, indent + " " * (widths[0] + 2), width=width).splitlines()
    return lines
