"""Dates as a keeper notes them: a day, or a day and an hour, in the season's local time."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo

from planner.season.reading.problems import shorten
from planner.season.reading.told_dates import told

LONGEST_APART = timedelta(days=31)  # of two looks; more is a slip of the pen
_FORM = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2}))?")


@dataclass(frozen=True)
class When:
    """A day (``hour`` None: any time on it) or an exact minute. Local wall-clock time, never guessed.

    ``looks``: of what was found rather than seen, the look at which it had not happened yet and the one at
    which it had; None: nobody says.

    >>> When.parse("2027-07-03").latest
    datetime.datetime(2027, 7, 4, 0, 0)
    """

    day: date
    hour: time | None = None
    looks: tuple[datetime, datetime] | None = None

    @classmethod
    @lru_cache(maxsize=1024)
    def parse(cls, text: str) -> When:
        """Read ``2027-07-03`` or ``2027-07-03T14:30``; all else raises ValueError saying what is allowed.

        One text gives one object: thousands of pupae share few dates.
        """
        match = _FORM.fullmatch(text.strip())
        if not match:
            raise ValueError(f"'{shorten(text)}' is not a date: write 2027-07-03 or 2027-07-03T14:30")
        try:
            day = date.fromisoformat(match[1])
        except ValueError:
            raise ValueError(f"'{shorten(text.strip())}': there is no such day") from None
        try:
            return cls(day, time.fromisoformat(match[2]) if match[2] else None)
        except ValueError:
            raise ValueError(f"'{shorten(text.strip())}': there is no such hour (00:00 to 23:59)") from None

    def __str__(self) -> str:
        return self.day.isoformat() + (f"T{self.hour:%H:%M}" if self.hour else "")

    @property
    def told(self) -> str:
        """The same for people: ``5 Jul 08:00``, or the day alone where no hour is known."""
        return told(self.day, self.hour)

    @cached_property
    def earliest(self) -> datetime:
        """First moment it can mean."""
        return self.looks[0] if self.looks else self.noted

    @cached_property
    def latest(self) -> datetime:
        """Last moment it can mean: the end of the day where no hour is known, whenever the looks were.

        How long a pupa is soft is reckoned from here. Who looks in the morning may have noted in the evening.
        """
        return self.noted if self.hour else self.noted + timedelta(days=1)

    @property
    def span(self) -> tuple[datetime, datetime]:
        """Between which moments it happened, to reckon with; equal where the minute is known."""
        return self.looks or (self.earliest, self.latest)

    @cached_property
    def middle(self) -> datetime:
        """The moment to reckon from: noon where no hour is known, halfway between two looks."""
        first, last = self.span
        return first + (last - first) / 2

    @property
    def known_from(self) -> datetime:
        """From when on it could be on record."""
        return self.looks[1] if self.looks else self.noted

    @property
    def noted(self) -> datetime:
        """The minute, or the beginning of the day, that was written down."""
        return datetime.combine(self.day, self.hour or time())


def between(after: When, found: When, tell: Callable[[When], str] = str) -> When:
    """What was found at one look and not yet at another; raises ValueError where that cannot be."""
    if found.known_from <= after.earliest:
        raise ValueError(f"{tell(after)} is not before {tell(found)}: the earlier look comes first")
    if found.latest - after.earliest > LONGEST_APART:
        apart = f"{tell(after)} and {tell(found)} are more than {LONGEST_APART.days} days apart"
        raise ValueError(f"{apart}: write the date alone")
    return replace(found, looks=(after.earliest, found.latest))


@lru_cache(maxsize=1024)
def hours_after(moment: datetime, hours: float, timezone: str) -> datetime:
    """Local time from which so many hours have surely passed since a local ``moment``.

    When clocks are put forward, a day has 23 hours. Where a time comes twice, or is left out, the later
    moment counts.

    >>> hours_after(datetime(2027, 3, 27, 20), 24, "Europe/Lisbon")
    datetime.datetime(2027, 3, 28, 21, 0)
    """
    zone = ZoneInfo(timezone)
    began = max(moment.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    end = (began + timedelta(hours=hours)).astimezone(zone)
    plain = end.replace(tzinfo=None, fold=0)
    if end.fold:  # when the clock shows it first, it is not that late yet
        plain += (end.replace(fold=0).utcoffset() or timedelta()) - (end.utcoffset() or timedelta())
    return plain
