"""Single values as a keeper writes them: numbers, hours, yes and no, dates; near words for misspelt ones."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from difflib import get_close_matches

from planner.season.reading.problems import shorten
from planner.season.reading.when import When

FIRST_YEAR, LAST_YEAR = 1990, 2200
YES = ("yes", "true", "on")
NO = ("no", "false", "off")
_LABELS = re.compile(r"[0-9]+|(?<![^\W_])[^\W\d_](?![^\W_])")  # numbers, and letters that stand alone
_CLOCK = re.compile(r"([0-9]{1,2}):([0-5][0-9])")
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")


def parse_number(text: str) -> float | None:
    """A finite decimal number, or None: no ``nan``, no ``1_000``, no other script's digits."""
    if not _NUMBER.fullmatch(text):
        return None
    number = float(text)
    return number if math.isfinite(number) else None


def parse_hour(text: str) -> float | None:
    """Hours since midnight of ``05:30`` or ``5.5``, 0 to 24, or None."""
    match = _CLOCK.fullmatch(text)
    hours = int(match[1]) + int(match[2]) / 60 if match else parse_number(text)
    return hours if hours is not None and 0 <= hours <= 24 else None


def clock(hours: float) -> str:
    """``05:30``, of hours since midnight."""
    minutes = round(hours * 60)
    return f"{minutes // 60:02}:{minutes % 60:02}"


def from_fahrenheit(degrees: float) -> float:
    """A temperature in °C from one in °F; not for differences."""
    return (degrees - 32) * 5 / 9


def to_fahrenheit(celsius: float) -> float:
    """A temperature in °F from one in °C; not for differences."""
    return celsius * 1.8 + 32


def degrees(celsius: float, *, fahrenheit: bool) -> str:
    """``23 °C``, or ``73.4 °F``."""
    return f"{to_fahrenheit(celsius):.4g} °F" if fahrenheit else f"{celsius:.4g} °C"


def parse_yes(text: str) -> bool | None:
    """Yes or no as YAML writers mean it, or None."""
    word = text.lower()
    return True if word in YES else False if word in NO else None


def parse_when(text: str) -> When:
    """A date of a year in which somebody may raise butterflies; raises ValueError saying what is allowed."""
    when = When.parse(text)
    if not FIRST_YEAR <= when.day.year <= LAST_YEAR:
        raise ValueError(f"'{shorten(text.strip())}': the year must be {FIRST_YEAR} to {LAST_YEAR}")
    return when


def did_you_mean(word: str, known: Sequence[str]) -> str:
    """A suggestion to put behind a message, or nothing.

    Only the one name that a single slip turns into the word: a letter too many, too few or wrong, one for
    two, or two exchanged. ``south`` is no slip for ``north``, and whoever takes that up records
    something else. For the same reason never a name with another number or single letter: ``m33`` is not
    ``m3``, ``tub-a`` not ``tub-b``.
    """
    text, labels = word.lower(), _LABELS.findall(word.lower())
    alike = {k.lower(): k for k in known if _LABELS.findall(k.lower()) == labels}
    near = [k for k in get_close_matches(text, alike, n=len(alike) or 1, cutoff=0.6) if _one_slip(text, k)]
    return f" (did you mean '{shorten(alike[near[0]])}'?)" if len(near) == 1 else ""


def _one_slip(a: str, b: str) -> bool:
    """Whether two words differ in one place only, by so little that it may be a slip."""
    first = _in_common(a, b)
    a, b = a[first:], b[first:]
    last = _in_common(a[::-1], b[::-1])
    a, b = sorted((a[: len(a) - last], b[: len(b) - last]), key=len)
    return (len(a) <= 1 and len(b) <= 2) or (len(a) == 2 and a == b[::-1])


def _in_common(a: str, b: str) -> int:
    """How many letters two words begin with that are the same."""
    return next(
        (k for k, (one, other) in enumerate(zip(a, b, strict=False)) if one != other), min(len(a), len(b))
    )


def tidy(number: float) -> str:
    """A number as a keeper would write it."""
    return f"{number:.6g}"
