"""Cumulative degree-days as a function of time, and its assumptions in words.

At a constant temperature the curve is a straight line and needs no arrays. Commands that need no more than
that start without numpy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Protocol

from planner.emergence.clock import EPOCH
from planner.emergence.limits import LONGEST_BRIDGE, STANDSTILL
from planner.emergence.profiles import Profile
from planner.emergence.temperatures import measured
from planner.season.reading.told_dates import day_text, moment
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats


class Curve(Protocol):
    """Cumulative degree-days as a non-decreasing function of time.

    Times are days from EPOCH, totals are degree-days. The origin of the totals is arbitrary: only differences
    have a meaning.
    """

    @property
    def rate(self) -> float:
        """Degree-days per day assumed where nothing is measured and no gap is bridged."""

    def at(self, time: Floats) -> Floats:
        """Cumulative degree-days at each time."""

    def when(self, total: Floats) -> Floats:
        """Earliest time at which each total is reached; infinite where it is never reached."""

    def at_each(self, times: Sequence[float]) -> list[float]:
        """``at`` for a sequence of plain numbers."""

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """``when`` for a sequence of plain numbers."""


@dataclass(frozen=True)
class Steady:
    """The curve of a constant temperature: a straight line through the origin.

    Attributes
    ----------
    rate : float
        Degree-days per day, 0 or more.
    """

    rate: float

    def at(self, time: Floats) -> Floats:
        """Cumulative degree-days at each time."""
        return self.rate * time

    def when(self, total: Floats) -> Floats:
        """Earliest time at which each total is reached; infinite where it is never reached."""
        return total / self.rate if self.rate > STANDSTILL else total * 0 + math.inf

    def at_each(self, times: Sequence[float]) -> list[float]:
        """``at`` for a sequence of plain numbers."""
        return [self.rate * time for time in times]

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """``when`` for a sequence of plain numbers."""
        return [total / self.rate if self.rate > STANDSTILL else math.inf for total in totals]


def curve_of(season: Season, profile: Profile) -> Curve:
    """The cumulative degree-day curve of one species over a season's temperatures.

    Measured time counts as measured. A gap of at most ``LONGEST_BRIDGE`` days counts at the mean rate of the
    24 h before and the 24 h after it. All other time counts at the stated constant temperature, or else at
    the mean rate of the last days measured.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    stated = (
        None if season.constant is None else max(0.0, min(season.constant, profile.upper) - profile.lower)
    )
    if readings is None or not len(readings.start):
        return Steady(stated or 0.0)
    from planner.emergence.measured_curve import measured_curve

    return measured_curve(readings, profile, stated)


def assumption(season: Season) -> str:
    """A sentence that says which time is measured, and which temperature is assumed for the rest.

    It accompanies every forecast. Temperatures are told as the keeper states them.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    stated = "" if season.constant is None else season.degrees(season.constant)
    if readings is None:
        return f"{stated} throughout, as stated in season.yaml" if stated else "no temperature is known"
    if not len(readings.start):
        return f"nothing measured yet in {season.temperature_file}; {stated}, as stated in season.yaml"
    first = day_text(_moment(readings.start[0]).date())
    last = day_text((_moment(readings.end[-1]) - timedelta(seconds=1)).date())
    known = f"measured from {first} to {last} ({season.temperature_file})"
    if stated:
        return f"{known}; all other time {stated}, as stated in season.yaml"
    days, mean = readings.recent_mean()
    span = "last day" if days == 1 else f"last {days} days"
    return f"{known}; all other time as the mean of the {span} measured ({season.degrees(round(mean, 1))})"


def readings_end(season: Season, on: datetime) -> str:
    """Since when nothing is measured, if that is a day or more ago at ``on``, and what is assumed; or empty.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    if readings is None or not len(readings.start):
        return ""
    last = _moment(readings.end[-1])
    if on - last < timedelta(days=1):
        return ""
    celsius = readings.recent_mean()[1] if season.constant is None else season.constant
    when = day_text((last - timedelta(seconds=1)).date())
    return (
        f"{season.temperature_file} ends on {when}: since then {season.degrees(round(celsius, 1))} is assumed"
    )


def gap_texts(season: Season) -> tuple[str, ...]:
    """One sentence for each gap in the readings: its span, and how it is bridged.

    Empty when the season has no temperature file.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    if readings is None:
        return ()
    texts = []
    for i in readings.holes:
        a, b = readings.end[i], readings.start[i + 1]
        how = "as the 24 h before and after" if b - a <= LONGEST_BRIDGE else "too long to bridge, assumed"
        texts.append(f"{season.temperature_file}: nothing measured {_span(a, b, readings.daily)}: {how}")
    return tuple(texts)


def _span(a: float, b: float, daily: bool) -> str:
    """A gap in words, by the day for daily extremes, else by the minute; ``a``, ``b``: days from EPOCH."""
    first, last = _moment(a), _moment(b)
    if not daily:
        return f"from {moment(first)} to {moment(last)}"
    before = last - timedelta(days=1)
    one = f"on {day_text(first.date())}"
    return one if before == first else f"from {day_text(first.date())} to {day_text(before.date())}"


def _moment(time: float) -> datetime:
    return EPOCH + timedelta(seconds=round(float(time) * 86400))
