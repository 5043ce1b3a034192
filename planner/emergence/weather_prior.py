"""What is taken of the daily mean temperatures before anything is known: level, course of the year, width."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.emergence import climate
from planner.emergence.clock import EPOCH
from planner.emergence.degree_days import Floats

LEVEL, LEVEL_SPREAD = 18.0, 12.0  # °C: mean of the year before anything is measured, as good as unknown
_SIGMAS = 17  # values of the standard deviation weighed: a sixth apart, as surely as forty days tell it


@dataclass(frozen=True, eq=False)
class Course:
    """The time of the year of some days.

    Attributes
    ----------
    waves : ndarray, shape (2, n)
        Cosine and sine: 1 and 0 on the warmest day.
    width : ndarray, shape (n,)
        How many times as wide as in summer the anomalies are.
    """

    waves: Floats
    width: Floats


def course(days: Floats, north: bool, indoors: bool = False) -> Course:
    """The time of the year of whole days from EPOCH; ``indoors`` anomalies are alike all the year."""
    january = (date(EPOCH.year, 1, 1) - EPOCH.date()).days
    warmest = january + climate.WARMEST + (0 if north else climate.YEAR / 2)
    angle = 2 * math.pi * (days - warmest) / climate.YEAR
    waves = np.array([np.cos(angle), np.sin(angle)])
    return Course(waves, 1 + (0 if indoors else climate.WIDER_IN_WINTER) * (1 - waves[0]) / 2)


@dataclass(frozen=True)
class Prior:
    """What is taken of the daily means before anything is known.

    Attributes
    ----------
    north : bool
        Whether July is the warm time of the year.
    constant : float or None
        °C, the mean of all days where it is stated, as in a room; then the anomalies are a room's.
    open : bool
        Whether level and course are to be found nevertheless.
    """

    north: bool
    constant: float | None = None
    open: bool = True

    @property
    def sds(self) -> tuple[Floats, Floats]:
        """Standard deviations of the anomalies that are weighed, °C, and the logarithms of their weights."""
        room = self.constant is not None
        middle = climate.INDOORS if room else climate.OUTDOORS
        spread = climate.INDOORS_SPREAD if room else climate.OUTDOORS_SPREAD
        steps = np.linspace(-3, 3, _SIGMAS)
        return middle * np.exp(spread * steps), -(steps**2) / 2

    def spreads(self, sd: Floats) -> Floats:
        """Standard deviations of level, cosine and sine, °C; shape (3, *sd.shape)."""
        one = np.array([LEVEL_SPREAD + 0 * sd, climate.COURSE_SPREAD * sd, climate.PHASE_SPREAD * sd])
        return one if self.open else 0 * one

    def mean(self, sd: Floats, when: Course) -> Floats:
        """Expected mean of each day for each standard deviation, °C; shape (len(sd), n)."""
        if not self.open:
            return np.full((len(sd), len(when.width)), self.constant)
        return np.asarray(LEVEL + climate.COURSE * sd[:, None] * when.waves[0])

    def when(self, days: Floats) -> Course:
        """`course` of days."""
        return course(days, self.north, self.constant is not None)


def waves(when: Course) -> Floats:
    """Level, cosine and sine; shape (3, n)."""
    return np.array([np.ones(len(when.width)), *when.waves])
