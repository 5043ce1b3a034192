"""Dates as people type them, such as ``7/5``: never guessed, but named as what they could mean."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date
from itertools import permutations

from planner.season.reading.problems import shorten
from planner.season.reading.scalars import FIRST_YEAR, LAST_YEAR

_PARTS = re.compile(r"([0-9]{1,4})([-./])([0-9]{1,2})(?:\2([0-9]{2}|[0-9]{4})?)?")
_YEAR_FIRST = re.compile(r"[0-9]{4}")
_NAMED = re.compile(
    r"today|yesterday|tomorrow|(mon|tues?|wed(nes)?|thu(rs)?|fri|sat(ur)?|sun)(day)?|[0-9]{1,2}:[0-5][0-9]|"
    r"([0-9]{1,2}\.? ?)?(jan|feb|mar|apr|may|june?|july?|aug|sept?|oct|nov|dec)[a-z]*\.?( ?[0-9]{1,2})?",
    re.IGNORECASE,
)
MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


def like_date(word: str) -> bool:
    """Whether it looks like a day and a month, with or without a year, which ISO 8601 does not know."""
    return _PARTS.fullmatch(word) is not None


def readings(word: str, now: int) -> list[date]:
    """The days that ``7/5`` or ``3.7.2027`` may mean, day first; ``now`` is the year where it names none."""
    match = _PARTS.fullmatch(word)
    if match is None:
        return []
    first, _, second, third = match.groups()
    if len(first) == 4:  # 2027/7/5
        pairs = [(int(first), int(second), int(third))] if third and len(third) <= 2 else []
    else:
        named = now if third is None else int(third) + (2000 if len(third) == 2 else 0)
        pairs = [(named, month, day) for day, month in permutations((int(first), int(second)))]
    found = []
    for parts in pairs:
        year, month, day = parts
        there_is = FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12
        if there_is and 1 <= day <= monthrange(year, month)[1]:
            found.append(date(year, month, day))
    return list(dict.fromkeys(found))


def misread(word: str, year: int, how: str = "") -> str:
    """What a date could mean that is not understood, and what to write; empty for another word.

    ``how``: what goes before the date where it is written, such as ``--on``.

    >>> misread("7/5", 2027)
    '"7/5" could be 7 May or 5 July: write 2027-05-07 or 2027-07-05'
    """
    if _NAMED.fullmatch(word):
        return f'"{shorten(word)}" is not understood here: say when with {how} 2027-07-03' if how else ""
    found = readings(word, year)
    if not like_date(word) or (not found and _YEAR_FIRST.match(word)):
        return ""
    before = f"{how} " if how else ""
    written = f"write {' or '.join(f'{before}{day}' for day in found)}"
    said = [f"{day.day} {MONTH_NAMES[day.month - 1]}" for day in found]
    if not found:
        return f'"{shorten(word)}" is not a date, in whatever order: write {before}2027-07-03'
    if len(found) == 1:
        return f'"{shorten(word)}" is not understood: for {said[0]} {written}'
    return f'"{shorten(word)}" could be {" or ".join(said)}: {written}'
