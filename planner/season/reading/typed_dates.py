"""Dates and hours as people type them: ``5 Jul``, ``Mon``, ``yesterday 21:30``, ``3 days ago``, ``7/5``.

What can be read in two ways is not guessed: the keeper's date style decides, or both readings are told.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta

from planner.season.reading.day_words import MONTH_NAMES, like_date, misread, readings
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import FIRST_YEAR, LAST_YEAR, parse_when
from planner.season.reading.told_dates import DAYS, MONTHS
from planner.season.reading.when import When

STYLES = ("iso", "eu", "us")  # 2027-07-05, 5 Jul 21:30, Jul 5 9:30 pm
HOW = "write 2027-07-03 or 2027-07-03T14:30, 3 Jul, Mon, yesterday 21:30 or 3 days ago"

_TIME = re.compile(r"(?:^|(?<=[ t]))(?:(\d{1,2}):(\d{2})|(\d{1,2})(?= ?[ap]m))(?: ?([ap]m))?$")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}([T ]\d{2}:\d{2})?$")
_PAIR = re.compile(r"\d+[-.]\d+")
_BEFORE_HOUR = re.compile(r"(?:(?<=\d)t| at)? *$")
_AGO = re.compile(r"(\d{1,3}|an?) (hours?|h|days?|weeks?) ago")
_WEEKDAY = re.compile(r"(last )?(mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?\.?")
_MONTH = "(" + "|".join(f"{name[:3]}(?:{name[3:]})?" for name in map(str.lower, MONTH_NAMES)) + r"|sept)\.?"
_DAY_MONTH = re.compile(rf"(\d{{1,2}})(?:st|nd|rd|th)?\.? ?{_MONTH}(?: (\d{{4}}))?")
_MONTH_DAY = re.compile(rf"{_MONTH} (\d{{1,2}})(?:st|nd|rd|th)?(?: (\d{{4}}))?")
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_RELATIVE = {"today": 0, "yesterday": 1, "tomorrow": -1}
_MONTH_FIRST = ("US", "PH", "PW", "FM", "MH")  # territories that write the month first


def read_typed(text: str, now: datetime, style: str | None = None) -> When:
    """A day, or a day and a minute, as somebody types it.

    Parameters
    ----------
    now
        The season's local time: what ``yesterday`` is, and of a day without a year the nearest is meant.
        A day of the week is the last one, today included.
    style
        One of ``STYLES``: which of ``7/5`` is the month. None: both readings are told.

    Raises
    ------
    ValueError
        Saying what it could mean, or what can be written.
    """
    try:
        return parse_when(text)
    except ValueError:
        if _ISO.match(text.strip()):
            raise
    words = " ".join(text.replace(",", " ").lower().split())
    if ago := _AGO.fullmatch(words):
        when = _ago(ago, now)
    else:
        hour, rest = _hour(words)
        if hour is None and rest != words:
            raise ValueError(f"'{shorten(text)}': there is no such hour (00:00 to 23:59, or 12:59 pm)")
        day = _day(rest, now, style, text) if rest or hour is None else now.date()
        if day is None:
            raise ValueError(f"'{shorten(text)}' is not a date: {HOW}")
        when = When(day, hour)
    if not FIRST_YEAR <= when.day.year <= LAST_YEAR:
        raise ValueError(f"'{shorten(text)}': the year must be {FIRST_YEAR} to {LAST_YEAR}")
    return when


def read_hour(text: str) -> time:
    """An hour of any day: ``7:30``, ``19:00``, ``7:30 pm``, ``7am``; another raises ValueError."""
    hour, rest = _hour(" ".join(text.lower().split()))
    if hour is None or rest:
        raise ValueError(f"'{shorten(text)}' is not an hour of the day: write 7:30, 19:00 or 7:30 pm")
    return hour


def is_typed_date(text: str, now: datetime) -> bool:
    """Whether a word can only be meant as a date, and is no name of a place or folder."""
    hour, day = _hour(" ".join(text.lower().split()))
    if _PAIR.fullmatch(day):
        return False  # 12.5 is a spot, 3-5 a range
    if like_date(text) or (hour is not None and like_date(day)):
        return True
    try:
        read_typed(text, now, "iso")
    except ValueError:
        return False
    return True


def style_of(locale: Mapping[str, str]) -> str | None:
    """The order of day and month that the environment's locale names; None where it names no country.

    >>> style_of({"LANG": "en_US.UTF-8"}), style_of({"LANG": "pt_PT.UTF-8"}), style_of({"LANG": "C.UTF-8"})
    ('us', 'eu', None)
    """
    name = next((locale[key] for key in ("LC_ALL", "LC_TIME", "LANG") if locale.get(key)), "")
    country = re.match(r"[a-z]{2,3}_([A-Z]{2})\b", name.replace(".", " "))
    return None if country is None else "us" if country[1] in _MONTH_FIRST else "eu"


def _hour(words: str) -> tuple[time | None, str]:
    """The hour at the end of the words, None where there is none such, and what stands before it."""
    match = _TIME.search(words)
    if match is None:
        return None, words
    hours, minutes = int(match[1] or match[3]), int(match[2] or 0)
    rest = _BEFORE_HOUR.sub("", words[: match.start()])
    if match[4]:
        if not 1 <= hours <= 12:
            return None, rest
        hours = hours % 12 + (12 if match[4] == "pm" else 0)
    return (time(hours, minutes) if hours < 24 and minutes < 60 else None), rest


def _ago(match: re.Match[str], now: datetime) -> When:
    many, unit = (1 if match[1].startswith("a") else int(match[1])), match[2][0]
    if unit == "h":
        then = now - timedelta(hours=many)
        return When(then.date(), then.time().replace(second=0, microsecond=0))
    return When((now - timedelta(days=many * (7 if unit == "w" else 1))).date())


def _day(words: str, now: datetime, style: str | None, text: str) -> date | None:
    """The day that the words before the hour name; None where they name none."""
    today = now.date()
    if words in _RELATIVE:
        return today - timedelta(days=_RELATIVE[words])
    if match := _WEEKDAY.fullmatch(words):
        back = (today.weekday() - [d.lower() for d in DAYS].index(match[2][:3])) % 7
        return today - timedelta(days=back or (7 if match[1] else 0))
    if match := _YEAR_FIRST.fullmatch(words):
        return _date(int(match[1]), int(match[2]), int(match[3]), text)
    if match := _DAY_MONTH.fullmatch(words):
        return _named(match[2], match[1], match[3], today, text)
    if match := _MONTH_DAY.fullmatch(words):
        return _named(match[1], match[2], match[3], today, text)
    if not like_date(words):
        return None
    return _numbers(words, today, style)


def _numbers(words: str, today: date, style: str | None) -> date:
    """The day of ``7/5``, by its style; raises ValueError with both readings where there is none."""
    whole = re.fullmatch(r".*\d[-./]\d+[-./]\d+", words) is not None  # names a year
    found = readings(words, today.year)
    if not found:
        raise ValueError(misread(words, today.year))
    if len(found) == 2 and style in ("eu", "us"):
        found = found[:1] if style == "eu" else found[1:]
    if len(found) == 2:
        both = misread(words, today.year)
        raise ValueError(f"{both}, or set date_style: us or eu in season.yaml")
    return found[0] if whole else _nearest(found[0].month, found[0].day, today) or found[0]


def _named(month: str, day: str, year: str | None, today: date, text: str) -> date:
    number = [m.lower() for m in MONTHS].index(month[:3]) + 1
    if year:
        return _date(int(year), number, int(day), text)
    return _nearest(number, int(day), today) or _date(today.year, number, int(day), text)


def _nearest(month: int, day: int, today: date) -> date | None:
    """The day of that name nearest to today: at New Year ``30 Dec`` was two days ago."""
    found = []
    for year in (today.year, today.year - 1, today.year + 1):
        try:
            found.append(date(year, month, day))
        except ValueError:
            continue
    return min(found, key=lambda one: abs((one - today).days), default=None)


def _date(year: int, month: int, day: int, text: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise ValueError(f"'{shorten(text)}': there is no such day") from None
