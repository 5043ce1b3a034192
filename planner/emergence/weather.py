"""The temperatures of the days to come: what is expected, and how uncertain it is.

Daily means are a Gaussian process: a level and a yearly course, both uncertain, and anomalies, of which a
part persists for days (a first-order autoregression) and a part for weeks. The days measured, and those of a
weather service's forecast, condition it. The constants are those of `climate`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from planner.emergence import climate
from planner.emergence.clock import EPOCH
from planner.emergence.degree_days import Floats
from planner.emergence.readings import Readings
from planner.season.forecast import ForecastDay

HORIZON = 400  # days to come that are reckoned one by one
MEMORY = 150  # last days measured that are taken into account
WHOLE = 0.9  # share of a day, from which on it counts as measured
RECENT = 14  # last days measured, from which the difference of day and night is taken
LEVEL, LEVEL_SPREAD = 18.0, 12.0  # °C: mean of the year before anything is measured, as good as unknown
_SIGMAS = 9  # values of the standard deviation weighed


@dataclass(frozen=True, eq=False)
class Weather:
    """The daily temperatures expected from the end of the readings on.

    Attributes
    ----------
    first : int
        Start of the day on which the readings end, whole days from EPOCH.
    mean : ndarray, shape (n,)
        Expected mean of each day, °C.
    half : ndarray, shape (n,)
        Half the difference of each day's maximum and minimum, °C. What is uncertain of a day and not of the
        sum of all days is counted in: a sine wave of amplitude A has variance A² / 2.
    sums : ndarray, shape (n + 1, n + 1)
        Covariance of the sums of the means over the first 0, 1, ... n days, (°C × days)².
    """

    first: int
    mean: Floats
    half: Floats
    sums: Floats

    def sd(self, origin: int) -> Floats:
        """Standard deviation of the sum from day ``origin`` to each edge, °C × days; 0 before it.

        Made non-decreasing, as it is but for rounding and reversion to the course.
        """
        edges = np.diag(self.sums)
        square = edges - 2 * self.sums[origin] + edges[origin]
        square[: origin + 1] = 0
        return np.asarray(np.maximum.accumulate(np.sqrt(np.maximum(square, 0))))

    def average(self, days: int) -> tuple[float, float]:
        """Expected average of the first so many days, and its standard deviation, °C."""
        days = min(days, len(self.mean))
        return float(self.mean[:days].mean()), float(self.sd(0)[days]) / days


def weather(
    readings: Readings, constant: float | None, north: bool, forecast: Sequence[ForecastDay] = ()
) -> Weather:
    """The weather expected after the last of some readings.

    Parameters
    ----------
    readings : Readings
        At least one stretch.
    constant : float or None
        °C stated for the days that are not measured: then it is their mean, and the readings tell only how
        far single days depart from it.
    north : bool
        Whether July is the warm time of the year.
    forecast : sequence of ForecastDay
        Days that are measured count as measured.
    """
    end = float(readings.end[-1])
    days, means, halves = readings.whole_days(WHOLE)
    days, means, halves = days[-MEMORY:], means[-MEMORY:], halves[-MEMORY:]
    first = math.floor(end)
    # Of the day on which they end only the rest is to come.
    share = np.ones(HORIZON)
    share[0] = 1 - (end - first)
    to_come = first + np.arange(HORIZON, dtype=float)
    told = [one for one in forecast if _index(one.day) >= end - 0.5 and _index(one.day) not in set(days)]
    told = sorted((one for one in told if _index(one.day) < first + HORIZON), key=lambda one: one.day)
    seen = np.concatenate([days, [float(_index(one.day)) for one in told]])
    values = np.concatenate([means, [(one.low + one.high) / 2 for one in told]])
    noise = _noise(len(days), told)
    sd, persistence = _estimated(seen, values, noise, constant is not None, north)
    process = _Process(sd, persistence, north, constant)
    by_readings = constant is None or bool(told)  # else the constant is the mean, whatever was measured
    mean, covariance = process.given(seen if by_readings else seen[:0], values, noise, to_come)
    half = float(halves[-RECENT:].mean()) if by_readings and len(halves) else 0.0
    sums = np.pad((covariance * share * share[:, None]).cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    step = np.diff(Weather(first, mean, mean, sums).sd(0)) / np.maximum(share, 1e-9)
    apart = np.maximum(np.diag(covariance) - step**2, 0) if half else np.zeros(HORIZON)
    halves_to_come = np.full(HORIZON, half)
    for one in told:
        halves_to_come[_index(one.day) - first] = (one.high - one.low) / 2
    return Weather(first, mean, np.sqrt(halves_to_come**2 + 2 * apart), sums)


def _index(day: date) -> int:
    return (day - EPOCH.date()).days


def _noise(measured: int, told: Sequence[ForecastDay]) -> Floats:
    """Covariance of the errors of what is known of each day: none of those measured, then the forecast's."""
    found = np.zeros((measured + len(told),) * 2)
    if told:
        lead = np.array([(one.day - told[0].day) / timedelta(days=1) for one in told])
        sd = np.minimum(climate.FORECAST_FIRST + climate.FORECAST_GROWS * lead, climate.FORECAST_MOST)
        alike = climate.FORECAST_PERSISTENCE ** np.abs(lead - lead[:, None])
        found[measured:, measured:] = sd * sd[:, None] * alike + climate.FORECAST_SITE**2
    return found


@dataclass(frozen=True)
class _Process:
    """The process of the daily means before anything is known.

    Attributes
    ----------
    sd : float
        Standard deviation of the anomalies, °C.
    persistence : float
        Correlation of two days in a row, of the part that lasts for days.
    north : bool
        Whether July is warm.
    constant : float or None
        °C, where the mean is stated: then there is neither a level to be found nor a course.
    """

    sd: float
    persistence: float
    north: bool
    constant: float | None = None

    def expected(self, days: Floats) -> Floats:
        """Mean of each day (whole days from EPOCH), °C."""
        if self.constant is not None:
            return np.full(len(days), self.constant)
        return np.asarray(LEVEL + climate.COURSE * self.sd * _course(days, self.north)[0])

    def covariance(self, a: Floats, b: Floats) -> Floats:
        """Covariance of the means of days ``a`` with those of days ``b``, °C²; shape (len(a), len(b))."""
        stated = self.constant is not None
        shape = _shape(a, b, self.persistence, None if stated else self.north)
        return np.asarray(self.sd**2 * shape + (0 if stated else LEVEL_SPREAD**2))

    def given(self, seen: Floats, values: Floats, noise: Floats, wanted: Floats) -> tuple[Floats, Floats]:
        """Mean and covariance of the days wanted, given the values (°C) of those seen."""
        if not len(seen):
            return self.expected(wanted), self.covariance(wanted, wanted)
        lower = _root(self.covariance(seen, seen) + noise)
        half = np.linalg.solve(lower, self.covariance(seen, wanted))
        off = np.linalg.solve(lower, values - self.expected(seen))
        return self.expected(wanted) + off @ half, self.covariance(wanted, wanted) - half.T @ half


def _shape(a: Floats, b: Floats, persistence: float, north: bool | None) -> Floats:
    """Covariance of days ``a`` and ``b`` in variances of an anomaly, but for the level.

    ``north`` None: without the course of the year.
    """
    lag = np.abs(a[:, None] - b).astype(np.intp)
    days, slow = np.arange(lag.max(initial=0) + 1), climate.SLOW_SHARE
    found = ((1 - slow) * persistence**days + slow * np.exp(-days / climate.SLOW_DAYS))[lag]
    if north is not None:
        (ca, sa), (cb, sb) = _course(a, north), _course(b, north)
        found += np.outer(climate.COURSE_SPREAD**2 * ca, cb) + np.outer(climate.PHASE_SPREAD**2 * sa, sb)
    return np.asarray(found)


def _root(covariance: Floats) -> Floats:
    """The Cholesky root; readings are told to a tenth of a degree, so that much is rounding."""
    return np.asarray(np.linalg.cholesky(covariance + 0.05**2 * np.eye(len(covariance))))


def _course(days: Floats, north: bool) -> tuple[Floats, Floats]:
    """Cosine and sine of the time of the year: 1 and 0 on its warmest day."""
    january = (date(EPOCH.year, 1, 1) - EPOCH.date()).days
    warmest = january + climate.WARMEST + (0 if north else climate.YEAR / 2)
    angle = 2 * math.pi * (days - warmest) / climate.YEAR
    return np.cos(angle), np.sin(angle)


def _estimated(seen: Floats, values: Floats, noise: Floats, stated: bool, north: bool) -> tuple[float, float]:
    """Standard deviation (°C) and persistence of the anomalies: those of `climate` weighed by what was seen.

    The first is the root of the mean square, so that a short record leaves room for what it has not seen.
    ``stated``: a constant temperature is, as indoors.
    """
    middle, spread = (
        (climate.INDOORS, climate.INDOORS_SPREAD) if stated else (climate.OUTDOORS, climate.OUTDOORS_SPREAD)
    )
    steps = np.linspace(-3, 3, _SIGMAS)
    sds = middle * np.exp(spread * steps)
    log = np.log(climate.THEIR_WEIGHTS)[:, None] - steps**2 / 2
    if len(seen):
        for k, persistence in enumerate(climate.PERSISTENCES):
            shape = _shape(seen, seen, persistence, north)
            for i, sd in enumerate(sds.tolist()):
                lower = _root(sd**2 * shape + LEVEL_SPREAD**2 + noise)
                off = np.linalg.solve(lower, values - _Process(sd, persistence, north).expected(seen))
                log[k, i] -= np.log(np.diag(lower)).sum() + off @ off / 2
    chance = np.exp(log - log.max())
    chance /= chance.sum()
    return float(np.sqrt(chance.sum(0) @ sds**2)), float(chance.sum(1) @ np.array(climate.PERSISTENCES))
