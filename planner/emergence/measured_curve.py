"""The cumulative degree-day curve of measured temperatures and of those to come, gaps bridged or assumed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from planner.emergence.degree_days import Floats
from planner.emergence.limits import LONGEST_BRIDGE, STANDSTILL
from planner.emergence.profiles import Profile
from planner.emergence.readings import Readings
from planner.emergence.steady import steady
from planner.emergence.to_come import ToCome
from planner.emergence.weather import Weather


@dataclass(frozen=True, eq=False)
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
    to_come : ToCome or None
        The days after the readings, of which the last knots are; None: nothing is uncertain.
    heat : ndarray, shape (n,), or None
        Degrees above the upper threshold × days, gathered until each knot.
    """

    time: Floats
    total: Floats
    rate: float
    to_come: ToCome | None = None
    heat: Floats | None = None

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

    def late(
        self, starts: Sequence[float], needs: Sequence[float], sds: Sequence[float], z: float
    ) -> list[float]:
        """``Curve.late``."""
        first = self.at(np.array(starts))
        found = self.when(first + np.array(needs) + z * np.array(sds)).tolist()
        if self.to_come is None or z == 0:
            return [float(x) for x in found]
        known: dict[tuple[float, float, float, float], float] = {}
        for i, key in enumerate(zip(starts, first.tolist(), needs, sds, strict=True)):
            if found[i] <= self.to_come.end and not self._hot(key[0], found[i]):
                continue  # all of it is measured
            if key not in known:
                known[key] = self._late(*key, z)
            found[i] = known[key]
        return [float(x) for x in found]

    def _late(self, start: float, first: float, need: float, sd: float, z: float) -> float:
        """The time at which ``less`` is ``need`` above ``first``: its day, then between the knots of that."""
        end = float(self.time[-1])
        days = np.arange(np.floor(start) + 1, end)  # a logger has thousands of knots
        knots = np.concatenate([[start], days, [max(end, start)]])
        for _ in range(2):
            total = np.maximum.accumulate(self.less(start, knots, sd, np.array([z]))[0] - first - need)
            i = int(np.searchsorted(total, 0.0))
            if i == 0:
                return start
            if i == len(knots):
                return float(knots[-1] - total[-1] / self.rate) if self.rate > STANDSTILL else np.inf
            a, b = knots[i - 1], knots[i]
            found = a - total[i - 1] / (total[i] - total[i - 1]) * (b - a)
            knots = np.concatenate([[a], self.time[(self.time > a) & (self.time < b)], [b]])
        return float(found)

    def less(self, start: float, times: Floats, sd: float, z: Floats) -> Floats:
        """``Curve.less``."""
        usual = self.at(times)
        hot = 0.0 if self.heat is None else np.maximum(0, self._heat(times) - self._heat(np.array(start)))
        own = np.hypot(sd, hot)
        if self.to_come is None:
            return np.asarray(usual - z[:, None] * own)
        one, two = (self.to_come.by(times, np.array(w), start) for w in (-1.0, 1.0))
        pupated = self.to_come.by(np.array([start]), np.array([-1.0, 1.0]), start)
        weather = ((two - one) - (pupated[1] - pupated[0])) / 2
        weather[times <= max(start, self.to_come.end)] = 0
        both = np.hypot(weather, own)
        warmer = -z[:, None] * weather / np.maximum(both, 1e-12)
        departed = self.to_come.by(times, warmer, start) - self.to_come.by(times, np.zeros(1), start)
        return np.asarray(usual + departed - z[:, None] * own**2 / np.maximum(both, 1e-12))

    def _heat(self, times: Floats) -> Floats:
        assert self.heat is not None
        return np.interp(times, self.time, self.heat)

    def _hot(self, start: float, end: float) -> bool:
        if self.heat is None:
            return False
        first, last = self._heat(np.array([start, end])).tolist()
        return bool(last > first)


@lru_cache(maxsize=8)  # asked for with every forecast
def measured_curve(
    readings: Readings, profile: Profile, constant: float | None, to_come: Weather | None = None
) -> MeasuredCurve:
    """The cumulative degree-day curve of one species.

    Parameters
    ----------
    readings : Readings
        At least one stretch.
    profile : Profile
        Its thresholds are used.
    constant : float or None
        °C stated beside the file. None: where nothing is known the mean rate of the last RECENT days measured
        is assumed.
    to_come : Weather, optional
        The weather after the readings. None: as where nothing is known.
    """
    start, end = readings.start, readings.end
    gathered = readings.degree_days(profile.lower, profile.upper, profile.fall)
    if constant is None:
        rate = _mean_rate(readings, gathered, readings.recent)
    else:
        rate = steady(constant, profile).rate
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
    hot = np.repeat(readings.heat(profile.upper), 2) * np.tile([0.0, 1.0], len(start))
    heat = profile.fall_spread * np.cumsum(hot)
    if to_come is not None:
        days = ToCome(float(end[-1]), to_come, profile)
        time = np.append(time, days.edges[1:])
        total = np.append(total, total[-1] + days.expected[1:])
        heat = np.append(heat, heat[-1] + profile.fall_spread * days.heat[1:])
        return MeasuredCurve(time, total, rate, days, heat if heat[-1] > 0 else None)
    return MeasuredCurve(time, total, rate, None, heat if heat[-1] > 0 else None)


def _mean_rate(readings: Readings, gathered: Floats, which: NDArray[np.bool_]) -> float:
    """Degree-days per day over the stretches selected by the mask ``which``."""
    return float(gathered[which].sum() / (readings.end - readings.start)[which].sum())
