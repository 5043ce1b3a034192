"""Measured temperatures as intervals of time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.emergence.course_of_day import filled
from planner.emergence.degree_days import Floats, ramp, single_sine

LONGEST_LINE = 0.125  # days; two readings no further apart are joined by a straight line
# Days; two readings no further apart are joined by the course of the day that the log shows, and between
# others nothing is known. That is nearer to the truth than the mean rate of the days beside them: on waves
# even a straight line is, up to 12 h. Who reads in working hours alone leaves 16 to 18 h unread.
LONGEST_STEP = 0.75
_NO_LIMIT = 1000.0  # °C above a threshold: nothing is cut off
RECENT = 7.0  # last days measured; their mean is assumed for days without readings when no constant is stated


@dataclass(frozen=True, eq=False)
class Readings:
    """Measured stretches of time in ascending order, which may touch but not overlap.

    Attributes
    ----------
    daily : bool
        Whether each stretch is a day with its minimum and maximum. Otherwise each lies
        between two readings, or is a part of the course between them.
    start, end : ndarray, shape (n,)
        Days from EPOCH.
    low, high : ndarray, shape (n,)
        °C: minimum and maximum of the day, or the temperatures at both ends.
    unused : int
        Number of readings that are joined to no other.
    apart : float
        Days between the two readings furthest apart that are joined to one another; 0 of daily extremes.
    """

    daily: bool
    start: Floats
    end: Floats
    low: Floats
    high: Floats
    unused: int = 0
    apart: float = 0.0

    def degree_days(self, lower: float, upper: float, fall: float = 0.0) -> Floats:
        """Degree-days of each stretch, shape (n,); thresholds in °C, ``fall`` as in ``single_sine``."""
        if self.daily:
            return single_sine(self.low, self.high, lower, upper, fall)
        return ramp(self.low, self.high, lower, upper, fall) * (self.end - self.start)

    def heat(self, upper: float) -> Floats:
        """Degrees above ``upper`` (°C) × days, of each stretch, shape (n,)."""
        return self.degree_days(upper, upper + _NO_LIMIT)

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

    def known_days(self, whole: float) -> tuple[Floats, Floats, Floats, Floats]:
        """Mean, half the difference of warmest and coldest, and measured share, of each day known.

        These are the days measured to the share ``whole`` or more; where there is none, those of `day_means`.

        Returns
        -------
        days, means, halves, shares : ndarray
            Whole days from EPOCH, °C, °C, and 0 to 1; of one shape.
        """
        days, means = self.day_means()
        day = np.floor(self.start).astype(int)
        index, count = day - day[0], int(day[-1] - day[0]) + 1
        low, high = np.full(count, np.inf), np.full(count, -np.inf)
        np.minimum.at(low, index, np.minimum(self.low, self.high))
        np.maximum.at(high, index, np.maximum(self.low, self.high))
        share = np.minimum(np.bincount(index, self.end - self.start), 1)
        which = (days - day[0]).astype(int)
        known = share[which] >= whole
        known |= not known.any()
        which = which[known]
        return days[known], means[known], ((high - low) / 2)[which], share[which]

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
        known = step <= LONGEST_STEP
        alone = len(time) - len(np.union1d(np.flatnonzero(known), np.flatnonzero(known) + 1))
        apart = float(step[known].max(initial=0.0))
        time, temp = filled(time, temp, known & (step > LONGEST_LINE))
        joined = np.flatnonzero(np.diff(time) <= LONGEST_STEP)
        return cls(False, time[joined], time[joined + 1], temp[joined], temp[joined + 1], alone, apart)
