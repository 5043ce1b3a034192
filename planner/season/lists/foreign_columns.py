"""Which column of a keeper's own table is what: by its name, by what stands in it, or as stated."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import pairwise

from planner.season.lists.foreign_table import ForeignTable, ReadDay, parse_day
from planner.season.places import fold
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import did_you_mean, parse_when

TARGETS = ("pupated", "place", "x", "y", "count", "species", "note")
NEEDED = ("pupated", "place")
# Names that keepers may give a column, folded; the first columns that bear one are taken.
_NAMES = {
    "pupated": (
        "pupated",
        "pupation",
        "pupation date",
        "date pupated",
        "pupated on",
        "date",
        "day",
        "formed",
    ),
    "place": ("place", "lid", "tub", "box", "container", "cage", "where"),
    "x": ("x",),
    "y": ("y",),
    "count": (
        "count",
        "number",
        "how many",
        "pupae",
        "quantity",
        "qty",
        "n",
        "pcs",
        "pieces",
        "amount",
        "number of pupae",
        "no. of pupae",
        "# pupae",
        "stück",
        "anzahl",
    ),  # not "no.", which is as often a running number
    "species": ("species", "kind", "butterfly"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}


def guess(
    table: ForeignTable, lids: Collection[str], pattern: str, read_day: ReadDay = parse_when
) -> dict[str, str]:
    """Column → what it is, by its name, and for day and place also by what stands in it."""
    found: dict[str, str] = {}
    folded = {fold(n): n for n in table.header if n}
    for target, names in _NAMES.items():
        if name := next((folded[n] for n in names if n in folded), None):
            found[name] = target
    known = {fold(n) for n in lids}

    def is_day(text: str) -> bool:
        try:
            parse_day(text, pattern, read_day)
        except ValueError:
            return False
        return True

    tests = {"pupated": is_day, "place": lambda text: fold(text) in known}
    for target, test in tests.items():
        if target in found.values():
            continue
        fits = [
            n
            for i, n in enumerate(table.header)
            if n and n not in found and (cells := table.column(i)) and all(map(test, cells))
        ]
        if len(fits) == 1:
            found[fits[0]] = target
    return found


def stated(text: str, table: ForeignTable) -> dict[str, str]:
    """Read ``Date=pupated,Tub=place``. Raises ValueError saying what is wrong."""
    found: dict[str, str] = {}
    for part in text.split(","):
        name, _, target = (p.strip() for p in part.rpartition("="))
        target = {"lid": "place", "date": "pupated"}.get(target.lower(), target.lower())
        if not name or target not in TARGETS:
            raise ValueError(f"'{shorten(part)}': write COLUMN=WHAT, WHAT one of {', '.join(TARGETS)}")
        real = next((h for h in table.header if fold(h) == fold(name)), None)
        if real is None:
            columns = shorten(", ".join(filter(None, table.header)), 400)
            hint = did_you_mean(name, table.header) or f": columns are {columns}"
            raise ValueError(f"{table.file} has no column '{shorten(name, 30)}'{hint}")
        if real in found or target in found.values():
            raise ValueError(f"'{shorten(part)}': each column and each of {', '.join(TARGETS)} is given once")
        found[real] = target
    return found


def overlooked(table: ForeignTable, columns: Mapping[str, str]) -> str:
    """A column that is not used and may be the quantity, or empty.

    Either its name says so, or it holds whole numbers that do not just run on.
    """
    if "count" in columns.values():
        return ""
    for i, name in enumerate(table.header):
        if not name or name in columns:
            continue
        cells = table.column(i)
        numbers = bool(cells) and all(c.isdecimal() for c in cells)
        running = (
            len(cells) > 1 and numbers and all(int(b[-9:]) - int(a[-9:]) == 1 for a, b in pairwise(cells))
        )
        if fold(name) in _NAMES["count"] or (numbers and not running):
            return name
    return ""
