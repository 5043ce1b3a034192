"""Dates as a keeper notes them: a day, or a day and an hour, in the season's local time."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo

from planner.season.reading.problems import shorten
from planner.season.reading.told_dates import told

_FORM = re.compile(r"(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2}))?")


@dataclass(frozen=True)
class When:
    """A day (``hour`` None: any time on it) or an exact minute. Local wall-clock time, never guessed.

    >>> When.parse("2027-07-03").latest
    datetime.datetime(2027, 7, 4, 0, 0)
    """

    day: date
    hour: time | None = None

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
        return datetime.combine(self.day, self.hour or time())

    @cached_property
    def latest(self) -> datetime:
        """Last moment it can mean: the end of the day where no hour is known."""
        return self.earliest if self.hour else self.earliest + timedelta(days=1)

    @cached_property
    def middle(self) -> datetime:
        """The moment to reckon from: noon where no hour is known."""
        return self.earliest if self.hour else self.earliest + timedelta(hours=12)


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
