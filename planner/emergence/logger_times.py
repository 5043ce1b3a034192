"""The times of a logger's rows as days from the epoch, each day and each hour understood once."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.season.logger.columns import Column, cell_of
from planner.season.logger.days import HALF, Clock, Order, clock_of, day_of, is_iso, is_numbers, split
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import FIRST_YEAR, LAST_YEAR

_MICROSECONDS = 10**6
YEARS = range(2000, 2038)  # of whose Januaries and Julys a zone's abbreviations are taken
_DAY = 86_400 * _MICROSECONDS


class Times:
    """Reads the times of a table; ``other_days``: whether a day was not written as ``2027-07-03``.

    Parameters
    ----------
    columns
        One with day and hour, or one of each, and one of AM and PM if it is apart; of daily extremes the one
        of the day.
    daily
        Whether no hour is wanted.
    zone
        Local time, into which times with an offset are converted.
    """

    def __init__(
        self, columns: Sequence[Column], *, daily: bool, zone: ZoneInfo, order: Order | None
    ) -> None:
        self.columns, self.daily, self.zone, self.order = columns, daily, zone, order
        self.name, self.example = ("date", "2027-07-03") if daily else ("time", "2027-07-03T14:30")
        self.offset = next((c.heading.offset for c in columns if c.heading.offset is not None), None)
        self.unknown_zone = ""  # what is told of a zone whose offset is not known
        for column in columns:
            if column.heading.zone is not None:
                self._in_zone(column, column.heading.zone)
        self._half = next((c for c in columns if c.heading.kind == "half"), None)
        self._clock = next((c for c in columns[1:] if c is not self._half), None)
        self.other_days = False
        self._days: dict[str, int | str] = {}  # microseconds from EPOCH to the midnight, or a fault
        self._clocks: dict[str, Clock | None] = {}

    def _in_zone(self, column: Column, name: str) -> None:
        """Take the offset of an abbreviation of the local zone; of two (``EST/EDT``) local time is meant."""
        january, july = ([datetime(year, m, 1, tzinfo=self.zone) for year in YEARS] for m in (1, 7))
        offsets = {one.tzname(): one.utcoffset() or timedelta() for one in (*january, *july)}
        names = name.split("/")
        if name == self.zone.key or (len(names) > 1 and all(one in offsets for one in names)):
            return
        if name in offsets:
            self.offset = offsets[name] // timedelta(minutes=1)
            return
        where = f"'{shorten(column.written, 40)}': {self.zone.key} has no '{shorten(name)}'"
        self.unknown_zone = f"{where}: take it out if times are local, else write the offset, as GMT-05:00"

    def text(self, cells: Sequence[str]) -> str:
        """What stands in a row's columns of the time."""
        return " ".join(cell_of(cells, column) for column in self.columns).strip()

    def read(self, cells: Sequence[str]) -> float | str:
        """The time of a row in days from EPOCH, or what is wrong with it."""
        day, clock = self._split(cells)
        start = self._days.get(day)
        if start is None:
            start = self._days[day] = self._day(day)
        hour = self._clocks.get(clock)
        if hour is None and clock:
            hour = self._clocks[clock] = clock_of(clock)
        if isinstance(start, str):
            return start or self._not_a_time(cells)
        if hour is None:
            return start / _MICROSECONDS / 86400 if self.daily and not clock else self._not_a_time(cells)
        if self.daily:
            return self._not_a_time(cells) if hour.micros else start / _MICROSECONDS / 86400
        offset = self.offset if hour.offset is None else hour.offset
        if offset is None:
            return (start + hour.micros) / _MICROSECONDS / 86400
        universal = EPOCH + timedelta(microseconds=start + hour.micros) - timedelta(minutes=offset)
        local = universal.replace(tzinfo=ZoneInfo("UTC")).astimezone(self.zone)
        return days_from_epoch(local.replace(tzinfo=None))

    def _split(self, cells: Sequence[str]) -> tuple[str, str]:
        """Day and clock of a row; without AM or PM where it has a column for them, no clock is told."""
        text = cell_of(cells, self.columns[0])
        day, clock = split(text) if self._clock is None else (text, cell_of(cells, self._clock))
        if self._half is None:
            return day, clock
        half = HALF.fullmatch(cell_of(cells, self._half))
        return day, f"{clock} {half[1]}m" if half else ""

    def _day(self, text: str) -> int | str:
        """Microseconds from EPOCH to a day; what is wrong with it; empty where that is its form."""
        day = day_of(text, self.order.name if self.order else None)
        if day is None:
            return f"'{shorten(text)}': there is no such day" if is_iso(text) else ""
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            return f"'{shorten(text)}': the year must be {FIRST_YEAR} to {LAST_YEAR}"
        self.other_days |= not is_iso(text)
        return (datetime.combine(day, time()) - EPOCH).days * _DAY

    def _not_a_time(self, cells: Sequence[str]) -> str:
        text = self.text(cells)
        day, _ = self._split(cells)
        as_others = ""
        if self.order is not None and self.order.name and is_numbers(day):
            as_others = f" with the {self.order.words} as in the other rows"
        return f"'{shorten(text)}' is not a {self.name}{as_others}: write {self.example}"
