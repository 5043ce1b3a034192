"""Plausibility checks of temperature readings: doubtful rows are reported, and used all the same."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from math import floor
from pathlib import Path

import numpy as np

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.degree_days import Floats
from planner.emergence.readings import LONGEST_STEP
from planner.emergence.temperatures import Row, Stated, as_stated, rows_of
from planner.season.reading.problems import Problem
from planner.season.reading.scalars import degrees
from planner.season.reading.told_dates import whole_day
from planner.season.season import Season

COOLEST, WARMEST = -10.0, 45.0  # °C in the shade where somebody raises butterflies
STUCK_DAYS = 1.0  # a constant value for so long means a stuck sensor, or a cell filled down
STUCK_READINGS = 6  # fewer may agree by chance when read to the whole degree
STUCK_EXTREMES = 3  # days with the same minimum and maximum
JUMP, JUMP_HOURS = 10.0, 1.5  # °C, hours: a larger change in less time is doubtful
NIGHT, DAY = (0.0, 6.0), (12.0, 18.0)  # hours, the coldest and the warmest quarter
LEAST_DAYS = 2  # days with such nights: fewer are not reported
UNREAD = 13.0  # hours without a reading, day after day, after which the mean of a day is hardly known
SWAPPED = 2.0  # °C by which nights must be warmer to be doubtful


def doubts(season: Season, now: datetime) -> tuple[Problem, ...]:
    """Doubtful readings of the season's temperature file, with file and line, sorted.

    Checked are values outside the usual range, sensors that are stuck, jumps, repeated daily extremes,
    missing nights, nights warmer than afternoons, long hours without a reading, and days after ``now`` (local
    time). Empty when there is no file, or when it cannot be read.
    """
    if season.temperature_file is None or season.readings is None:
        return ()
    name = Path(season.temperature_file).name
    readings = season.readings, name, as_stated(season)
    return tuple(sorted([*_doubts(*readings), *_to_come(*readings, now)]))


@lru_cache(maxsize=4)
def _doubts(data: bytes, file: str, stated: Stated) -> tuple[Problem, ...]:
    daily, rows, named = rows_of(data, file, *stated)
    if not rows:
        return ()
    found = [*_implausible(rows, named)]
    found += (
        [*_same_extremes(rows)] if daily else [*_stuck(rows), *_jumps(rows), *_nights(rows), *_unread(rows)]
    )
    return tuple(sorted(Problem(file, row.line, 0, "", what) for row, what in found))


def _to_come(data: bytes, file: str, stated: Stated, now: datetime) -> Iterator[Problem]:
    """The first row of a day after today, with the number of such rows: they count as measured."""
    tomorrow = floor(days_from_epoch(now)) + 1
    _, rows, _ = rows_of(data, file, *stated)
    later = [row for row in rows if row.time >= tomorrow]
    if later:
        day = (EPOCH + timedelta(days=later[0].time)).date()
        more = f" ({len(later)} such rows)" if len(later) > 1 else ""
        what = f"{whole_day(day)} is still to come{more}, and counts as measured"
        right = "are day and month the right way round? A weather service's days stand under forecast: in"
        yield Problem(file, later[0].line, 0, "", f"{what}: {right} season.yaml")


Found = Iterator[tuple[Row, str]]


def _told(celsius: float, row: Row) -> str:
    """A temperature in the unit of the file."""
    return degrees(round(celsius, 1), fahrenheit=row.fahrenheit)


def _implausible(rows: Sequence[Row], named: bool) -> Found:
    """The first row outside COOLEST to WARMEST, with the number of such rows."""
    off = [row for row in rows if not COOLEST <= row.low <= row.high <= WARMEST]
    if not off:
        return
    row, more = off[0], f" ({len(off)} such rows)" if len(off) > 1 else ""
    value = row.high if row.high > WARMEST else row.low
    usual = f"{_told(COOLEST, row)} to {_told(WARMEST, row)} is usual"
    what = f"{_told(value, row)} is hardly an air temperature in the shade: {usual}{more}"
    if not named and value > WARMEST:
        what += (
            "; no unit is named: if it is in °F, write temperature_F, or min_F and max_F, in the first line"
        )
    yield row, what


def _stuck(rows: Sequence[Row]) -> Found:
    """Each run of equal readings that lasts STUCK_DAYS or longer."""
    start = 0
    for i in range(1, len(rows) + 1):
        if i < len(rows) and rows[i].low == rows[start].low:
            continue
        days = rows[i - 1].time - rows[start].time
        if days >= STUCK_DAYS and i - start >= STUCK_READINGS:
            same = f"{_told(rows[start].low, rows[start])} for {days * 24:.0f} h without a change"
            yield rows[start], f"{same}: is the sensor stuck?"
        start = i


def _same_extremes(rows: Sequence[Row]) -> Found:
    """Each run of STUCK_EXTREMES days or more with equal minimum and maximum."""
    start = 0
    for i in range(1, len(rows) + 1):
        if i < len(rows) and (rows[i].low, rows[i].high) == (rows[start].low, rows[start].high):
            continue
        if i - start >= STUCK_EXTREMES and rows[start].low < rows[start].high:
            yield rows[start], f"the same minimum and maximum on {i - start} days: were they filled down?"
        start = i


def _jumps(rows: Sequence[Row]) -> Found:
    """Each change of more than JUMP °C within JUMP_HOURS."""
    for a, b in pairwise(rows):
        hours = (b.time - a.time) * 24
        if 0 < hours <= JUMP_HOURS and abs(b.low - a.low) > JUMP:
            step = f"from {_told(a.low, a)} to {_told(b.low, b)} within {hours * 60:.0f} minutes"
            yield b, f"{step}: was it in the sun, or in a hand?"


def _nights(rows: Sequence[Row]) -> Found:
    """Missing nights, and nights that are warmer than the afternoons by more than SWAPPED °C."""
    time = np.array([row.time for row in rows])
    temp = np.array([row.low for row in rows])
    day, hour = np.floor(time), (time % 1) * 24
    afternoon, night = _mean_of(day, hour, temp, DAY), _mean_of(day, hour, temp, NIGHT)
    if len(missing := sorted(afternoon.keys() - night.keys())) >= LEAST_DAYS and _dense(time):
        row = rows[int(np.searchsorted(day, missing[0]))]
        yield (
            row,
            f"on {len(missing)} days nothing is read from 0 to 6 h: the nights are guessed from the days",
        )
    both = sorted(afternoon.keys() & night.keys())
    if len(both) >= LEAST_DAYS:
        warmer = float(np.mean([night[d] - afternoon[d] for d in both]))
        if warmer > SWAPPED:
            row = rows[int(np.searchsorted(day, both[0]))]
            apart = f"{warmer * 1.8:.1f} °F" if row.fahrenheit else f"{warmer:.1f} °C"
            what = f"nights are {apart} warmer than afternoons"
            yield row, f"{what}: are the hours right (12 h clock, time zone)?"


def _unread(rows: Sequence[Row]) -> Found:
    """A rhythm of readings that leaves more than UNREAD hours of most days unread."""
    time = np.array([row.time for row in rows])
    step = np.diff(time)
    long = np.flatnonzero((step * 24 > UNREAD) & (step <= LONGEST_STEP))
    if len(long) < LEAST_DAYS or len(long) < (time[-1] - time[0]) / 2:
        return
    hours = f"{float(step[long].max()) * 24:.0f} h"
    what = f"on {len(long)} days nothing is read for up to {hours}: dates may be days off"
    yield rows[int(long[0])], f"{what}. Read 12 h apart, or note date, min, max of each day"


def _dense(time: Floats) -> bool:
    """Whether a logger took the readings: their median interval is at most 2 h."""
    return len(time) > 2 and float(np.median(np.diff(time))) <= 1 / 12


def _mean_of(day: Floats, hour: Floats, temp: Floats, between: tuple[float, float]) -> dict[float, float]:
    """Mean temperature, °C, by day (whole days from EPOCH) of the readings between two hours."""
    inside = (hour >= between[0]) & (hour < between[1])
    days, which = np.unique(day[inside], return_inverse=True)
    means = np.bincount(which, temp[inside]) / np.maximum(np.bincount(which), 1) if len(days) else days
    return dict(zip(days.tolist(), means.tolist(), strict=True))
