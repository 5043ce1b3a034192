"""What may be said of learned values: how fast the season went, and whether the dates got better by them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise, repeat
from statistics import NormalDist

import numpy as np

from planner.emergence import Compared, Due, Learned
from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.prior import Summary
from planner.season.reading.told_dates import day_month
from planner.season.season import Season

# Of fewer emergences, or of fewer pupation days, errors tell nothing. A convention, not a finding; for three
# days the uncertainty below is six standard errors already.
LEAST, LEAST_DAYS = 5, 3
Z90 = 1.645  # 90 % of a normal distribution lie within so many standard deviations
DAY = timedelta(days=1)


def spans(learned: Learned) -> list[timedelta]:
    """How long each compared emergence may have been: a day, or from look to look."""
    return [c.last - c.first for c in learned.compared]


@dataclass(frozen=True)
class Pace:
    """Degree-days gathered per day while these pupae developed, and how to say so."""

    rate: float
    words: str

    def days(self, summary: Summary) -> tuple[float, float, float]:
        """Days a pupa takes at this pace: median, and between which 90 % lie; its hour of pupation known."""
        median, half = summary.requirement / self.rate, Z90 * summary.spread
        return median, median * (1 - half), median * (1 + half)


@dataclass(frozen=True)
class Gain:
    """By how many days the mean absolute error falls, and how uncertain that is (95 %)."""

    mean: float
    uncertain: float


def pace(season: Season, learned: Learned) -> Pace | None:
    """The mean from the first pupation to the last emergence; None where that is not known."""
    curve = curve_of(season, learned.profile)
    pupated = [season.pupa[c.pupa].pupated for c in learned.compared]
    first = min((w.earliest for w in pupated if w), default=None)
    if season.temperature_file is None and season.constant is not None:
        return Pace(curve.rate, season.degrees(season.constant)) if curve.rate > 0 else None
    if first is None:
        return None
    last = datetime.combine(max(c.ended for c in learned.compared), time()) + DAY
    a, b = days_from_epoch(first), days_from_epoch(last)
    rate = float(curve.at(np.array(b)) - curve.at(np.array(a))) / (b - a)
    span = f"{day_month(first.date())} to {day_month((last - DAY).date())}"
    return Pace(rate, f"{rate:.1f} degree-days a day, the mean from {span}") if rate > 0 else None


def pupation_days(season: Season, learned: Learned) -> int:
    """Of how many days the pupae are whose forecasts can be compared."""
    return len(set(_days(season, learned)))


def few(season: Season, learned: Learned) -> bool:
    """Whether there are too few records to say how good the forecasts are."""
    return len(learned.compared) - learned.unscored < LEAST or pupation_days(season, learned) < LEAST_DAYS


def within_noise(season: Season, learned: Learned) -> bool:
    """Whether it cannot be said that learning makes the forecasts better: too few records, or chance."""
    found = gain(season, learned)
    return found is None or found.mean <= found.uncertain


def off(compared: Compared, due: Due | None) -> float:
    """Days from the forecast to noon of the day of emergence, or halfway between the looks; NaN: no date.

    Positive when it came late.
    """
    middle = compared.first + (compared.last - compared.first) / 2
    return math.nan if due is None else (middle - due.median) / DAY


def within(compared: Compared, due: Due | None) -> bool:
    """Whether any hour at which it may have emerged lies in the interval."""
    return due is not None and due.low < compared.last and due.high > compared.first


def held_by_half(compared: Compared, due: Due | None) -> float:
    """How much of the day of emergence, or of the time between looks, the central 50 % interval holds.

    0 to 1; 0 without a date.
    """
    if due is None or due.half is None:
        return 0.0
    low, high = due.half
    held = min(high, compared.last) - max(low, compared.first)
    return max(0.0, held / (compared.last - compared.first))


def covered_if_right(dues: Iterable[Due | None], spans: Iterable[timedelta] = repeat(DAY)) -> float:
    """What ``Accuracy.covered`` comes to on average if the forecasts are exactly right; NaN: there are none.

    Less than their level, for of an emergence only the day is known, or two looks (``spans``: how long that
    is), and a day that holds an end of the interval counts in part. Each forecast is taken as normal with its
    median and sd.
    """
    found = []
    for due, span in zip(dues, spans, strict=False):
        if due is None:
            continue
        chance = NormalDist(0, max(due.sd, 1e-6)).cdf
        first = datetime.combine(due.median.date(), time()) - 30 * span
        edges = [(first + k * span - due.median) / DAY for k in range(62)]
        low, high = (due.low - due.median) / DAY, (due.high - due.median) / DAY
        found.append(
            sum(
                (chance(b) - chance(a)) * max(0.0, min(b, high) - max(a, low)) / (b - a)
                for a, b in pairwise(edges)
            )
        )
    return float(np.mean(found)) if found else math.nan


def gain(season: Season, learned: Learned) -> Gain | None:
    """What learning changes in the errors; None with too few records.

    Those of one pupation day share an error, so the standard error is that of the mean of clusters, J days:
    its square is J / (J - 1) times the sum of squares of each day's total about its share. It is taken
    2 J / (J - 2) times, which is no less than Student's 97.5 % quantile for J - 1 degrees of freedom.
    """
    if few(season, learned):
        return None
    total, count = defaultdict[date, float](float), defaultdict[date, int](int)
    for day, c in zip(_days(season, learned), learned.compared, strict=True):
        better = abs(off(c, c.before)) - abs(off(c, c.after))
        if not math.isnan(better):
            total[day] += better
            count[day] += 1
    n, j = sum(count.values()), len(count)
    if n < LEAST or j < LEAST_DAYS:
        return None
    mean = sum(total.values()) / n
    square = sum((total[day] - count[day] * mean) ** 2 for day in total)
    return Gain(mean, 2 * j / (j - 2) * math.sqrt(j / (j - 1) * square) / n)


def _days(season: Season, learned: Learned) -> list[date]:
    pupated = [season.pupa[c.pupa].pupated for c in learned.compared]
    return [w.day for w in pupated if w is not None]  # all: without it nothing would be compared
