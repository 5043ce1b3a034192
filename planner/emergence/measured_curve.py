"""The cumulative degree-day curve of measured temperatures, with gaps bridged or assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.emergence.degree_days import Floats
from planner.emergence.limits import LONGEST_BRIDGE, STANDSTILL
from planner.emergence.profiles import Profile
from planner.emergence.readings import Readings


@dataclass(frozen=True)
class MeasuredCurve:
    """Cumulative degree-days, piecewise linear between knots.

    Attributes
    ----------
    time : ndarray, shape (n,)
        Knots, days from EPOCH, ascending.
    total : ndarray, shape (n,)
        Cumulative degree-days at the knots.
    rate : float
        Degree-days per day assumed before the first knot and after the last one.
    """

    time: Floats
    total: Floats
    rate: float

    def at(self, time: Floats) -> Floats:
        """Cumulative degree-days at each time."""
        before, after = np.minimum(time - self.time[0], 0), np.maximum(time - self.time[-1], 0)
        return np.asarray(np.interp(time, self.time, self.total) + self.rate * (before + after))

    def when(self, total: Floats) -> Floats:
        """Earliest time at which each total is reached; infinite where it is never reached."""
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

    def at_each(self, times: Sequence[float]) -> list[float]:
        """``at`` for a sequence of plain numbers."""
        return [float(x) for x in self.at(np.array(times)).tolist()]

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """``when`` for a sequence of plain numbers."""
        return [float(x) for x in self.when(np.array(totals)).tolist()]


def measured_curve(readings: Readings, profile: Profile, stated: float | None) -> MeasuredCurve:
    """The cumulative degree-day curve of one species.

    Parameters
    ----------
    readings : Readings
        At least one stretch.
    profile : Profile
        Its thresholds are used.
    stated : float or None
        Degree-days per day at the constant temperature stated beside the file. None: the mean rate of the
        last RECENT days measured is assumed.
    """
    start, end = readings.start, readings.end
    gathered = readings.degree_days(profile.lower, profile.upper)
    rate = stated if stated is not None else _mean_rate(readings, gathered, readings.recent)
    holes = np.zeros(len(start))  # degree-days between each stretch and the one after it
    for i in readings.holes:
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
    return MeasuredCurve(time, total, rate)


def _mean_rate(readings: Readings, gathered: Floats, which: NDArray[np.bool_]) -> float:
    """Degree-days per day over the stretches selected by the mask ``which``."""
    return float(gathered[which].sum() / (readings.end - readings.start)[which].sum())
