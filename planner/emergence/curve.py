"""Degree-days gathered by each moment: measured where there are readings, bridged or assumed where not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from planner.emergence.degree_days import Floats
from planner.emergence.profiles import Profile
from planner.emergence.readings import EPOCH, Readings
from planner.emergence.temperatures import measured
from planner.season.season import Season
from planner.season.when import day_text

STANDSTILL = 1e-9  # degree-days per day that come to nothing in any lifetime
LONGEST_BRIDGE = 3.0  # days without readings that are bridged from both sides


@dataclass(frozen=True)
class Curve:
    """Degree-days ``total`` gathered by each of ``time`` (days from EPOCH), straight lines between.

    Before the first and after the last it goes on at ``rate`` degree-days per day, an assumption.
    """

    time: Floats
    total: Floats
    rate: float

    def at(self, time: Floats) -> Floats:
        """Degree-days gathered by each time."""
        before, after = np.minimum(time - self.time[0], 0), np.maximum(time - self.time[-1], 0)
        return np.asarray(np.interp(time, self.time, self.total) + self.rate * (before + after))

    def when(self, total: Floats) -> Floats:
        """First time at which each total is reached; infinite where it never is."""
        first, last = self.total[0], self.total[-1]
        after = np.clip(np.searchsorted(self.total, total, side="left"), 1, max(len(self.total) - 1, 1))
        found = np.full(np.shape(total), np.inf)
        if len(self.time) > 1:
            t0, t1 = self.time[after - 1], self.time[after]
            c0, c1 = self.total[after - 1], self.total[after]
            share = (total - c0) / np.where(c1 > c0, c1 - c0, 1)
            found = t0 + share * (t1 - t0)
        if self.rate > STANDSTILL:
            found = np.where(total > last, self.time[-1] + (total - last) / self.rate, found)
            return np.where(total <= first, self.time[0] + (total - first) / self.rate, found)
        return np.where(total > last, np.inf, found)


def curve_of(season: Season, profile: Profile) -> Curve:
    """The curve of one species through the season's temperatures. Raises FaultyFiles.

    What was measured counts as measured. Up to three days without readings go at the mean of the last 24 h
    before and the first 24 h after; all other time goes as ``assumption`` says.
    """
    readings = measured(season)
    if readings is None or not len(readings.start):
        return Curve(np.zeros(1), np.zeros(1), _constant_rate(season, profile))
    start, end = readings.start, readings.end
    gathered = readings.degree_days(profile.lower, profile.upper)
    if season.constant is not None:
        rate = _constant_rate(season, profile)
    else:
        rate = _mean_rate(readings, gathered, readings.recent)
    holes = np.zeros(len(start))  # degree-days between each stretch and the one after it
    for i in _holes(readings):
        length = start[i + 1] - end[i]
        if length <= LONGEST_BRIDGE:
            before = (start >= end[i] - 1 - 1e-9) & (end <= end[i])
            after = (end <= start[i + 1] + 1 + 1e-9) & (start >= start[i + 1])
            bridge = (_mean_rate(readings, gathered, before) + _mean_rate(readings, gathered, after)) / 2
            holes[i] = length * bridge
        else:
            holes[i] = length * rate
    time = np.column_stack([start, end]).ravel()
    total = np.cumsum(np.column_stack([np.append(0, holes[:-1]), gathered]).ravel())
    return Curve(time, total, rate)


def _constant_rate(season: Season, profile: Profile) -> float:
    """Degree-days per day at the temperature stated."""
    stated = season.constant
    return 0.0 if stated is None else max(0.0, min(stated, profile.upper) - profile.lower)


def _mean_rate(readings: Readings, gathered: Floats, which: NDArray[np.bool_]) -> float:
    return float(gathered[which].sum() / (readings.end - readings.start)[which].sum())


def _holes(readings: Readings) -> list[int]:
    """Indices of the stretches after which readings are missing."""
    apart = readings.start[1:] - readings.end[:-1] > 1e-9
    return [int(i) for i in np.flatnonzero(apart)]


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
    for i in _holes(readings):
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
