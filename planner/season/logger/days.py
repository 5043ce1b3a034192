"""Days and hours as loggers write them, and which of their numbers is the day: found from the whole file."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from planner.season.reading.day_words import MONTH_NAMES

ORDERS = {"dmy": "day first", "mdy": "month first", "ymd": "year first"}
STYLED = {"eu": "dmy", "us": "mdy", "iso": "ymd"}  # what date_style in season.yaml decides
STEADY_DAYS = 3  # so many days that follow one another show the order
STEADY_STEP = 3  # days; two that follow one another are no further apart
SHORT_YEARS = 2015  # 27/07/03 is no day of 2003, where it may be another

_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_YEAR_FIRST = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
_NUMBERS = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})")
_DAY_NAMED = re.compile(r"([0-9]{1,2})[-. ]+([a-z]{3})[a-z]*[-.,/ ]+([0-9]{4}|[0-9]{2})", re.IGNORECASE)
_NAMED_DAY = re.compile(r"([a-z]{3})[a-z]*\.? ([0-9]{1,2}),? ([0-9]{4})", re.IGNORECASE)
_WEEKDAY = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]? +(?=[0-9])", re.IGNORECASE)
_CLOCK = re.compile(
    r"([0-9]{1,2})[:h]([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]+))?)?(?: ?([ap])\.?m\.?)?"
    r"(?: ?(?:(Z|UTC|GMT)|([+-])([0-9]{2}):?([0-9]{2})))?",
    re.IGNORECASE,
)
HALF = re.compile(r"([ap])\.? ?m\.?", re.IGNORECASE)  # of the day, in a cell of its own
_HOURS = re.compile(r"(?<![0-9])[0-9]{1,2}h[0-9]{2}$")  # as written in French
_MONTHS = [name[:3].lower() for name in MONTH_NAMES]


def split(text: str) -> tuple[str, str]:
    """Day and clock of a moment; one of the two may be empty."""
    if text[10:11] in ("T", " ") and text[4:5] == text[7:8] == "-":  # 2027-07-03T14:30, as most are
        return text[:10], text[11:].lstrip()
    colon = text.find(":")
    if colon < 0:
        hours = _HOURS.search(text)
        return (text[: hours.start()].rstrip("T ,\t"), hours[0]) if hours else (text, "")
    start = colon - 2 if colon > 1 and text[colon - 2].isdigit() else max(0, colon - 1)
    if start and text[start - 1] not in "T ,\t":
        return text, ""
    return text[:start].rstrip("T ,\t"), text[start:]


@dataclass(frozen=True)
class Clock:
    """An hour of the day in microseconds, and minutes east of UTC where that is stated."""

    micros: int
    offset: int | None = None


def clock_of(text: str) -> Clock | None:
    """``14:30``, ``2:30:00 PM``, ``14:30:05.250+02:00``; None for anything else."""
    match = _CLOCK.fullmatch(text)
    if match is None:
        return None
    hours, minutes, seconds = int(match[1]), int(match[2]), int(match[3] or 0)
    if match[5]:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if match[5] in "pP" else 0)
    if hours > 23 or minutes > 59 or seconds > 59:
        return None
    micros = ((hours * 60 + minutes) * 60 + seconds) * 1_000_000 + int((match[4] or "")[:6].ljust(6, "0"))
    if match[6]:
        return Clock(micros, 0)
    if match[7] is None:
        return Clock(micros)
    east = int(match[8]) * 60 + int(match[9])
    if east >= 24 * 60 or int(match[9]) > 59:
        return None
    return Clock(micros, -east if match[7] == "-" else east)


def is_numbers(text: str) -> bool:
    """Whether it is a day such as ``03/07/2027``, whose order must be known."""
    return _NUMBERS.fullmatch(_WEEKDAY.sub("", text)) is not None


def is_iso(text: str) -> bool:
    """Whether it is written as ``2027-07-03``."""
    return _ISO.fullmatch(text) is not None


def day_of(text: str, order: str | None) -> date | None:
    """The day that a text names; ``order``: one of ORDERS, for days that are numbers. None: it names none."""
    text = _WEEKDAY.sub("", text)
    if match := _YEAR_FIRST.fullmatch(text):
        return _date(match[1], match[3], match[4])
    if match := _NUMBERS.fullmatch(text):
        first, second, third = match[1], match[3], match[4]
        if order == "ymd":
            return _date(first, second, third) if len(third) == 2 else None
        day, month = (first, second) if order == "dmy" else (second, first)
        return _date(third, month, day) if order else None
    if match := _DAY_NAMED.fullmatch(text):
        return _named(match[3], match[2], match[1])
    if match := _NAMED_DAY.fullmatch(text):
        return _named(match[3], match[1], match[2])
    return None


def _date(year: str, month: str, day: str) -> date | None:
    try:
        return date(int(year) + (2000 if len(year) <= 2 else 0), int(month), int(day))
    except ValueError:
        return None


def _named(year: str, month: str, day: str) -> date | None:
    name = month.lower()
    return _date(year, str(_MONTHS.index(name) + 1), day) if name in _MONTHS else None


@dataclass(frozen=True)
class Order:
    """Which number of a day is what.

    ``name``: one of ORDERS; None where the file leaves it open. ``why``: how it was decided, where it is not
    plain from the days that there are.
    """

    name: str | None
    why: str = ""

    @property
    def words(self) -> str:
        """``day first``; empty where that is open."""
        return ORDERS[self.name] if self.name else ""


def order_of(texts: Collection[str], style: str | None) -> Order:
    """The order in which all of these days are days; of several the one in which they follow one another.

    Parameters
    ----------
    texts
        Different days of a file, as ``03/07/2027``.
    style
        ``date_style`` of the season, which decides where the days leave it open.
    """
    found = {order: [day_of(text, order) for text in texts] for order in ORDERS}
    fit = {order: [day for day in days if day] for order, days in found.items() if None not in days}
    if not fit:  # the order of most; the rest is told as faults
        good = {order: sum(day_of(text, order) is not None for text in texts) for order in ORDERS}
        return Order(max(good, key=lambda order: good[order]))
    if late := {o: days for o, days in fit.items() if min(days).year >= SHORT_YEARS}:
        fit = late
    if len(set(map(tuple, fit.values()))) == 1:  # one order, or days such as 07/07/2027 alone
        return Order(next(iter(fit)))
    steady = [order for order, days in fit.items() if _follow(days)]
    if len(steady) == 1:
        return Order(steady[0], "the days follow one another")
    stated = STYLED.get(style or "")
    if stated in fit:
        return Order(stated, "date_style")
    if "dmy" in fit and all("." in text for text in texts):
        return Order("dmy", "as dates with points are")
    return Order(None)


def _follow(days: Collection[date]) -> bool:
    ordered = sorted(set(days))
    return len(ordered) >= STEADY_DAYS and all((b - a).days <= STEADY_STEP for a, b in pairwise(ordered))


def both_readings(text: str) -> str:
    """What is told of a day that the file leaves open."""
    said = {
        style: day
        for style, order in STYLED.items()
        if (day := day_of(text, order)) and (day.year >= SHORT_YEARS or style != "iso")
    }
    days = " or ".join(f"{d.day} {MONTH_NAMES[d.month - 1]} {d.year}" for d in said.values())
    ways = " or ".join(f"{style} ({ORDERS[STYLED[style]]})" for style in said)
    return (
        f"'{text}' could be {days}, and the other rows do not tell: write date_style: {ways} in season.yaml"
    )
