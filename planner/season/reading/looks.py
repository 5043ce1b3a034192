"""When a keeper looks after the pupae: between which looks something happened that was noted by the day."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from planner.season.reading.problems import shorten
from planner.season.reading.typed_dates import read_hour
from planner.season.reading.when import When

MOST_DAYS = 14  # from one day of looks to the next
NEAR = timedelta(hours=1)  # an hour noted so near to a look is that look; any other was seen
HOW = "write daily at 8, daily at 8 and 20, or every 3 days at 18:30"
_FORM = re.compile(r"(?:daily|every (?P<days>\d{1,3}) days) at (?P<hours>.+)")


@dataclass(frozen=True)
class Looks:
    """Looks every ``days`` days, at these hours of the day in ascending order."""

    days: int
    hours: tuple[time, ...]

    @classmethod
    def parse(cls, text: str) -> Looks:
        """Read ``daily at 8`` or ``every 3 days at 8 and 20``; all else raises ValueError."""
        match = _FORM.fullmatch(" ".join(text.lower().split()))
        if match is None:
            raise ValueError(f"'{shorten(text)}' does not say when you look: {HOW}")
        days = int(match["days"] or 1)
        if not 1 <= days <= MOST_DAYS:
            raise ValueError(f"'{shorten(text)}': looks are 1 to {MOST_DAYS} days apart")
        hours = [_hour(part) for part in re.split(r" and |, ?", match["hours"])]
        if len(set(hours)) < len(hours):
            raise ValueError(f"'{shorten(text)}': an hour is named twice")
        return cls(days, tuple(sorted(hours)))

    def read(self, when: When) -> When:
        """A day or minute as noted, with the looks between which it happened.

        A day stands for its last look. A minute that is no look's was seen to happen, and stays as it is.
        """
        if when.looks:
            return when
        if when.hour is None:
            last = self.hours[-1]
            found = datetime.combine(when.day, last)
            return replace(when, looks=(found - timedelta(days=self.days), found))
        noted = datetime.combine(when.day, when.hour)
        look = min((datetime.combine(when.day, hour) for hour in self.hours), key=lambda at: abs(at - noted))
        if abs(look - noted) > NEAR:
            return when
        return replace(when, looks=(self._before(look), noted))

    def last_before(self, now: datetime) -> datetime:
        """By when a pupa that is still noted as hanging had surely been looked at."""
        hours = [datetime.combine(now.date(), hour) for hour in self.hours]
        done = [at for at in hours if at <= now] or [at - timedelta(days=1) for at in hours]
        return done[-1] - timedelta(days=self.days - 1)

    def _before(self, look: datetime) -> datetime:
        """The look before one."""
        earlier = [hour for hour in self.hours if hour < look.time()]
        if earlier:
            return datetime.combine(look.date(), earlier[-1])
        return datetime.combine(look.date() - timedelta(days=self.days), self.hours[-1])


def _hour(text: str) -> time:
    """An hour of the day; ``8`` too."""
    text = text.strip()
    try:
        return read_hour(f"{text}:00" if text.isdigit() else text)
    except ValueError:
        raise ValueError(f"'{shorten(text)}' is not an hour of the day: {HOW}") from None
