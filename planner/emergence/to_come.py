"""Degree-days of the days to come, as the weather turns out warmer or colder than expected."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from planner.emergence.degree_days import Floats, single_sine
from planner.emergence.profiles import Profile
from planner.emergence.weather import HORIZON, Weather

# Standard deviations from the expected weather at which the degree-days are reckoned; between them they are
# interpolated.
NODES = np.linspace(-4.5, 4.5, 19)


@dataclass(frozen=True, eq=False)
class ToCome:
    """The degree-days of one species after the end of the readings.

    Only the distribution of the sum up to each moment matters for the moment at which a sum is reached. So
    weather that is w standard deviations warmer is one in which the sum of the daily means is w of its
    standard deviations above what is expected, at every moment.

    Attributes
    ----------
    end : float
        End of the readings, days from EPOCH.
    weather : Weather
        From then on.
    profile : Profile
        Its thresholds are used.
    """

    end: float
    weather: Weather
    profile: Profile

    @cached_property
    def edges(self) -> Floats:
        """The end of the readings, and of each day to come after it; days from EPOCH, shape (n + 1,)."""
        found = self.weather.first + np.arange(HORIZON + 1, dtype=float)
        found[0] = self.end
        return found

    @cached_property
    def expected(self) -> Floats:
        """Degree-days of the weather expected, from the end of the readings to each edge; shape (n + 1,)."""
        return np.asarray(self._totals(np.zeros(1), 0)[0])

    @cached_property
    def heat(self) -> Floats:
        """Degrees above the upper threshold × days expected from the end of the readings to each edge."""
        low, high = self.weather.mean - self.weather.half, self.weather.mean + self.weather.half
        a_day = single_sine(low, high, self.profile.upper, self.profile.upper + 1000)
        return np.pad(np.cumsum(a_day * np.diff(self.edges)), (1, 0))

    @lru_cache(maxsize=256)  # noqa: B019  # one object for each species and season
    def totals(self, origin: int) -> Floats:
        """The same for weather that departs from what is expected, from day ``origin`` on.

        Returns
        -------
        ndarray, shape (len(NODES), n + 1)
            A row for each of NODES.
        """
        return self._totals(NODES, origin)

    def _totals(self, warmer: Floats, origin: int) -> Floats:
        length = np.diff(self.edges)
        off = np.diff(self.weather.sd(origin)) / np.maximum(length, 1e-9)
        mean = self.weather.mean + warmer[:, None] * off
        low, high, one = mean - self.weather.half, mean + self.weather.half, self.profile
        a_day = single_sine(low, high, one.lower, one.upper, one.fall)
        return np.pad(np.cumsum(a_day * length, axis=1), ((0, 0), (1, 0)))

    def by(self, time: Floats, warmer: Floats, since: float) -> Floats:
        """Degree-days from the end of the readings to each time, for each departure of the weather.

        Parameters
        ----------
        time, warmer : ndarray, of shapes that broadcast
            Days from EPOCH; standard deviations.
        since : float
            Time from which on the weather counts: pupation, if that is after the end of the readings.
        """
        table = self.totals(max(0, int(min(since, self.edges[-1]) - self.weather.first)))
        place = np.clip(np.interp(time, self.edges, np.arange(HORIZON + 1.0)), 0, HORIZON - 1e-6)
        i = place.astype(np.intp)
        node = np.clip((warmer - NODES[0]) / (NODES[1] - NODES[0]), 0, len(NODES) - 1 - 1e-6)
        k = node.astype(np.intp)
        i, k, place, node = np.broadcast_arrays(i, k, place - i, node - k)
        low = table[k, i] + place * (table[k, i + 1] - table[k, i])
        high = table[k + 1, i] + place * (table[k + 1, i + 1] - table[k + 1, i])
        return np.asarray(low + node * (high - low))
