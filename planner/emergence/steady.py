"""The cumulative degree-day curve of a constant temperature: plain numbers, no arrays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.emergence.climate import sum_sd
from planner.emergence.limits import FARTHEST, STANDSTILL
from planner.emergence.profiles import Profile

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats


@dataclass(frozen=True)
class Steady:
    """The curve of a constant temperature: a straight line through the origin.

    Attributes
    ----------
    rate : float
        Degree-days per day, 0 or more.
    slope : float
        Degree-days per day more where it is 1 °C warmer: by that the weather in the room counts.
    heat : float
        Standard deviation of the rate above the upper threshold, degree-days per day.
    """

    rate: float
    slope: float = 0.0
    heat: float = 0.0

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

    def late(
        self, starts: Sequence[float], needs: Sequence[float], sds: Sequence[float], z: float
    ) -> list[float]:
        """``Curve.late``."""
        known: dict[tuple[float, float], float] = {}  # it takes as long whenever it begins
        for key in zip(needs, sds, strict=True):
            if key not in known:
                known[key] = self._days(*key, z)
        return [s + known[need, sd] for s, need, sd in zip(starts, needs, sds, strict=True)]

    def _days(self, need: float, sd: float, z: float) -> float:
        """Days until ``need`` is gathered by one that is ``z`` standard deviations late."""
        if self.rate <= STANDSTILL:
            return math.inf
        low, high = 0.0, 2 * (need + abs(z) * sd) / self.rate + 1
        while self.rate * high - z * self.uncertain(high, sd) < need and high < FARTHEST:
            high *= 2
        for _ in range(60):
            middle = (low + high) / 2
            if self.rate * middle - z * self.uncertain(middle, sd) < need:
                low = middle
            else:
                high = middle
        return high if high < FARTHEST else math.inf

    def uncertain(self, days: float, sd: float) -> float:
        """Standard deviation of a requirement (by itself ``sd``) and of what so many days bring."""
        return math.sqrt(sd**2 + (self.slope * sum_sd(days)) ** 2 + (self.heat * days) ** 2)

    def less(self, start: float, times: Floats, sd: float, z: Floats) -> Floats:
        """``Curve.less``."""
        import numpy as np

        sds = np.array([self.uncertain(t - start, sd) for t in times.tolist()])
        return np.asarray(self.rate * times - z[:, None] * sds)


def steady(celsius: float, profile: Profile) -> Steady:
    """The curve of a species at a constant temperature."""
    beyond = max(0.0, celsius - profile.upper)
    rate = max(0.0, min(celsius, profile.upper) - profile.lower - profile.fall * beyond)
    slope = 1.0 if profile.lower < celsius <= profile.upper else profile.fall if beyond else 0.0
    return Steady(rate, slope, profile.fall_spread * beyond)
