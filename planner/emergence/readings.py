"""What was measured, as stretches of time with their temperatures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.emergence.degree_days import Floats, ramp, single_sine

LONGEST_STEP = 0.25  # days between two readings of a logger that a straight line may join
# The same where a thermometer is read now and then, morning and evening: two readings half a day apart have
# the mean of a sine of one day, whatever the hours. Further apart they tell too little of the swing between.
LONGEST_READ = 0.625
RECENT = 7.0  # last days measured, that stand for days without readings when nothing else is assumed


@dataclass(frozen=True)
class Readings:
    """Measured stretches of time, in order, apart or touching.

    ``start``, ``end``: days from EPOCH; ``low``, ``high``: °C. If ``daily``, a stretch is a day with its
    minimum and maximum; otherwise it lies between two readings of a logger, ``low`` being the first of them.
    ``unused``: readings joined to no other.
    """

    daily: bool
    start: Floats
    end: Floats
    low: Floats
    high: Floats
    unused: int = 0

    def degree_days(self, lower: float, upper: float) -> Floats:
        """Degree-days of each stretch."""
        if self.daily:
            return single_sine(self.low, self.high, lower, upper)
        return ramp(self.low, self.high, lower, upper) * (self.end - self.start)

    @property
    def few(self) -> NDArray[np.bool_]:
        """Which stretches lie between two readings further apart than a logger's."""
        return np.asarray((self.end - self.start > LONGEST_STEP) & (not self.daily))

    def measured_shares(self) -> tuple[Floats, Floats]:
        """Each day from the first measured to the last, and what part of it is measured (0 to 1)."""
        if not len(self.start):
            return self.start, self.start
        days = np.arange(np.floor(self.start[0]), np.ceil(self.end[-1]))
        time = np.column_stack([self.start, self.end]).ravel()
        known = np.cumsum(np.column_stack([np.zeros(len(self.start)), self.end - self.start]).ravel())
        edges = np.interp(np.append(days, days[-1] + 1), time, known)
        return days, np.diff(edges)

    def day_means(self) -> tuple[Floats, Floats]:
        """Each day of which at least half is measured, and its mean temperature in °C."""
        if not len(self.start):
            return self.start, self.start
        day = np.floor(self.start)
        index = (day - day[0]).astype(int)
        share = np.bincount(index, self.end - self.start)
        heat = np.bincount(index, (self.end - self.start) * (self.low + self.high) / 2)
        known = share >= 0.5
        return day[0] + np.flatnonzero(known), heat[known] / share[known]

    @property
    def holes(self) -> list[int]:
        """Indices of the stretches after which readings are missing."""
        apart = self.start[1:] - self.end[:-1] > 1e-9
        return [int(i) for i in np.flatnonzero(apart)]

    @property
    def recent(self) -> NDArray[np.bool_]:
        """Which stretches lie in the last RECENT days before the last reading."""
        return np.asarray(self.start >= self.end[-1] - RECENT - 1e-9)

    def recent_mean(self) -> tuple[int, float]:
        """On how many days, RECENT at most, there are recent readings, and their mean in °C."""
        start, length = self.start[self.recent], (self.end - self.start)[self.recent]
        days = min(len(np.unique(np.floor(start))), int(RECENT))
        return days, float(np.average((self.low + self.high)[self.recent] / 2, weights=length))

    def hot_between(
        self, start: Sequence[float], end: Sequence[float], upper: float, otherwise: float
    ) -> list[bool]:
        """Whether a day in each span has a mean above ``upper``; ``otherwise``: °C before and after all."""
        days, means = self.day_means()
        hot = days[means > upper]
        met = np.searchsorted(hot, np.floor(start)) < np.searchsorted(hot, end)
        beyond = (np.array(start) < self.start[0]) | (np.array(end) > self.end[-1])
        return [bool(x) for x in met | (beyond & (otherwise > upper))]

    @classmethod
    def of_rows(cls, daily: bool, rows: Iterable[tuple[float, float, float]]) -> Readings:
        """From (time, lowest, highest) of days or of single readings, in any order.

        Readings of one moment are averaged: the hour that comes twice when summer time ends.
        """
        time, low, high = np.array(sorted(rows), dtype=float).reshape(-1, 3).T
        if daily:
            return cls(True, time, time + 1, low, high)
        time, which, count = np.unique(time, return_inverse=True, return_counts=True)
        temp = np.bincount(which, low, minlength=len(time)) / count
        step = np.diff(time)
        few = (step > LONGEST_STEP) & (step <= LONGEST_READ)
        # A hole in a logger's readings has short steps beside it; a thermometer has long ones all along.
        beside = np.pad(few | (step > LONGEST_READ), 1, constant_values=True)
        joined = np.flatnonzero((step <= LONGEST_STEP) | (few & beside[:-2] & beside[2:]))
        unused = len(time) - len(np.union1d(joined, joined + 1))
        return cls(False, time[joined], time[joined + 1], temp[joined], temp[joined + 1], unused)
