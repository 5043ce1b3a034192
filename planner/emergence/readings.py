"""Measured temperatures as intervals of time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.emergence.degree_days import Floats, ramp, single_sine

LONGEST_STEP = 0.25  # days; two readings of a logger further apart are not interpolated
# The same for a thermometer that is read by hand, morning and evening: the mean of two readings half a day
# apart is the mean of a daily sine wave, at any hours. Readings further apart miss too much of the variation.
LONGEST_READ = 0.625  # days
_NO_LIMIT = 1000.0  # °C above a threshold: nothing is cut off
RECENT = 7.0  # last days measured; their mean is assumed for days without readings when no constant is stated


@dataclass(frozen=True, eq=False)
class Readings:
    """Measured stretches of time in ascending order, which may touch but not overlap.

    Attributes
    ----------
    daily : bool
        Whether each stretch is a day with its minimum and maximum. Otherwise each lies between two readings.
    start, end : ndarray, shape (n,)
        Days from EPOCH.
    low, high : ndarray, shape (n,)
        °C: minimum and maximum of the day, or the first and the second reading.
    unused : int
        Number of readings that are joined to no other.
    """

    daily: bool
    start: Floats
    end: Floats
    low: Floats
    high: Floats
    unused: int = 0

    def degree_days(self, lower: float, upper: float, fall: float = 0.0) -> Floats:
        """Degree-days of each stretch, shape (n,); thresholds in °C, ``fall`` as in ``single_sine``."""
        if self.daily:
            return single_sine(self.low, self.high, lower, upper, fall)
        return ramp(self.low, self.high, lower, upper, fall) * (self.end - self.start)

    def heat(self, upper: float) -> Floats:
        """Degrees above ``upper`` (°C) × days, of each stretch, shape (n,)."""
        return self.degree_days(upper, upper + _NO_LIMIT)

    @property
    def few(self) -> NDArray[np.bool_]:
        """Mask, shape (n,), of the stretches longer than a logger's interval (LONGEST_STEP)."""
        return np.asarray((self.end - self.start > LONGEST_STEP) & (not self.daily))

    def measured_shares(self) -> tuple[Floats, Floats]:
        """Measured share of each day from the first measured to the last.

        Returns
        -------
        days, shares : ndarray
            Whole days from EPOCH, and shares, 0 to 1; of one shape.
        """
        if not len(self.start):
            return self.start, self.start
        days = np.arange(np.floor(self.start[0]), np.ceil(self.end[-1]))
        time = np.column_stack([self.start, self.end]).ravel()
        known = np.cumsum(np.column_stack([np.zeros(len(self.start)), self.end - self.start]).ravel())
        edges = np.interp(np.append(days, days[-1] + 1), time, known)
        return days, np.diff(edges)

    def day_means(self) -> tuple[Floats, Floats]:
        """Mean temperature of each day of which at least half is measured.

        Returns
        -------
        days, means : ndarray
            Whole days from EPOCH, and °C; of one shape.
        """
        if not len(self.start):
            return self.start, self.start
        day = np.floor(self.start)
        index = (day - day[0]).astype(int)
        share = np.bincount(index, self.end - self.start)
        heat = np.bincount(index, (self.end - self.start) * (self.low + self.high) / 2)
        known = share >= 0.5
        return day[0] + np.flatnonzero(known), heat[known] / share[known]

    def whole_days(self, least: float) -> tuple[Floats, Floats, Floats]:
        """Mean, and half the difference of warmest and coldest, of each day measured to ``least`` or more.

        Returns
        -------
        days, means, halves : ndarray
            Whole days from EPOCH, and °C; of one shape.
        """
        days, means = self.day_means()
        day = np.floor(self.start).astype(int)
        index, count = day - day[0], int(day[-1] - day[0]) + 1
        low, high = np.full(count, np.inf), np.full(count, -np.inf)
        np.minimum.at(low, index, np.minimum(self.low, self.high))
        np.maximum.at(high, index, np.maximum(self.low, self.high))
        share = np.bincount(index, self.end - self.start)
        which = (days - day[0]).astype(int)
        whole = share[which] >= least
        return days[whole], means[whole], ((high - low) / 2)[which[whole]]

    @property
    def holes(self) -> list[int]:
        """Indices of the stretches after which there is a gap."""
        apart = self.start[1:] - self.end[:-1] > 1e-9
        return [int(i) for i in np.flatnonzero(apart)]

    @property
    def recent(self) -> NDArray[np.bool_]:
        """Mask, shape (n,), of the stretches in the last RECENT days before the last reading."""
        return np.asarray(self.start >= self.end[-1] - RECENT - 1e-9)

    def recent_mean(self) -> tuple[int, float]:
        """Number of days with recent readings (RECENT at most), and their mean temperature, °C."""
        start, length = self.start[self.recent], (self.end - self.start)[self.recent]
        days = min(len(np.unique(np.floor(start))), int(RECENT))
        return days, float(np.average((self.low + self.high)[self.recent] / 2, weights=length))

    def mean(self) -> float:
        """Mean temperature of all that is measured, °C."""
        return float(np.average((self.low + self.high) / 2, weights=self.end - self.start))

    def hot_between(
        self, start: Sequence[float], end: Sequence[float], upper: float, otherwise: float
    ) -> list[bool]:
        """Whether each span has a day with a mean temperature above ``upper``.

        Parameters
        ----------
        start, end : sequence of float
            Ends of the spans, days from EPOCH.
        upper : float
            °C.
        otherwise : float
            Temperature assumed before the first reading and after the last one, °C.
        """
        days, means = self.day_means()
        hot = days[means > upper]
        met = np.searchsorted(hot, np.floor(start)) < np.searchsorted(hot, end)
        beyond = (np.array(start) < self.start[0]) | (np.array(end) > self.end[-1])
        return [bool(x) for x in met | (beyond & (otherwise > upper))]

    @classmethod
    def of_rows(cls, daily: bool, rows: Iterable[tuple[float, float, float]]) -> Readings:
        """The stretches of a table's rows, in any order.

        Parameters
        ----------
        daily : bool
            Whether the rows are days rather than single readings.
        rows : iterable of (float, float, float)
            Time in days from EPOCH, lowest and highest temperature in °C. Readings of the same time are
            averaged: one hour comes twice when summer time ends.
        """
        time, low, high = np.array(sorted(rows), dtype=float).reshape(-1, 3).T
        if daily:
            return cls(True, time, time + 1, low, high)
        time, which, count = np.unique(time, return_inverse=True, return_counts=True)
        temp = np.bincount(which, low, minlength=len(time)) / count
        step = np.diff(time)
        few = (step > LONGEST_STEP) & (step <= LONGEST_READ)
        # A gap in a logger's record has short steps beside it; readings by hand have long steps throughout.
        beside = np.pad(few | (step > LONGEST_READ), 1, constant_values=True)
        joined = np.flatnonzero((step <= LONGEST_STEP) | (few & beside[:-2] & beside[2:]))
        unused = len(time) - len(np.union1d(joined, joined + 1))
        return cls(False, time[joined], time[joined + 1], temp[joined], temp[joined + 1], unused)
