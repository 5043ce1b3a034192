"""Degree-days gathered by each moment, and in words what stands behind them.

Without readings it is a straight line, which needs no arrays: so commands that only want dates at a constant
temperature start quickly.
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
from planner.season.reading.when import day_text
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats


class Curve(Protocol):
    """Degree-days by time (days from EPOCH); ``rate``: per day, for all time without readings."""

    @property
    def rate(self) -> float:
        """Degree-days per day where nothing is measured."""

    def at(self, time: Floats) -> Floats:
        """Degree-days gathered by each time."""

    def when(self, total: Floats) -> Floats:
        """First time at which each total is reached; infinite where it never is."""

    def at_each(self, times: Sequence[float]) -> list[float]:
        """The same as ``at`` for plain numbers."""

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """The same as ``when`` for plain numbers."""


@dataclass(frozen=True)
class Steady:
    """Always so many degree-days per day."""

    rate: float

    def at(self, time: Floats) -> Floats:
        """Degree-days gathered by each time."""
        return self.rate * time

    def when(self, total: Floats) -> Floats:
        """First time at which each total is reached; infinite where it never is."""
        return total / self.rate if self.rate > STANDSTILL else total * 0 + math.inf

    def at_each(self, times: Sequence[float]) -> list[float]:
        """Degree-days gathered by each time, as plain numbers."""
        return [self.rate * time for time in times]

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """First time of each total, as plain numbers."""
        return [total / self.rate if self.rate > STANDSTILL else math.inf for total in totals]


def curve_of(season: Season, profile: Profile) -> Curve:
    """The curve of one species through the season's temperatures. Raises FaultyFiles.

    What was measured counts as measured. Up to three days without readings go at the mean of the last 24 h
    before and the first 24 h after; all other time goes as ``assumption`` says.
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
    """Say which temperatures are measured and what stands for the others; goes with every forecast."""
    readings = measured(season)
    stated = "" if season.constant is None else f"{season.constant:.4g} °C"
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
    return f"{known}; all other time as the mean of the {span} measured ({mean:.1f} °C)"


def gap_texts(season: Season) -> tuple[str, ...]:
    """Say where readings are missing, and how each gap was bridged. Empty without a temperature file."""
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
    first, last = _moment(a), _moment(b)
    if not daily:
        return f"from {day_text(first.date())} {first:%H:%M} to {day_text(last.date())} {last:%H:%M}"
    before = last - timedelta(days=1)
    one = f"on {day_text(first.date())}"
    return one if before == first else f"from {day_text(first.date())} to {day_text(before.date())}"


def _moment(time: float) -> datetime:
    return EPOCH + timedelta(seconds=round(float(time) * 86400))
