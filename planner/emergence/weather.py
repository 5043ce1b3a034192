"""The temperatures of the days to come: what is expected, and how uncertain it is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from planner.emergence import climate
from planner.emergence.clock import EPOCH
from planner.emergence.daily_means import DailyMeans, Known, daily_means, likely
from planner.emergence.degree_days import Floats
from planner.emergence.readings import Readings
from planner.emergence.weather_prior import Prior
from planner.season.forecast import ForecastDay

HORIZON = 400  # days to come that are reckoned one by one
MEMORY = 90  # last days measured that are taken into account: of earlier ones hardly anything lasts
WHOLE = 0.9  # share of a day, from which on it counts as measured
HALF_RANGE = 5.0  # °C; half the range of a day of which only a part is measured. Guess: outdoors, in summer
RECENT = 14  # last days measured, from which the difference of day and night is taken


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
    means : DailyMeans
        How the means are distributed.
    """

    first: int
    mean: Floats
    half: Floats
    means: DailyMeans

    def sd(self, origin: int) -> Floats:
        """Standard deviation of the sum from day ``origin`` to each edge, °C × days; 0 before it."""
        return self.means.sums_sd(origin)

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
    days, means, halves, shares = (each[-MEMORY:] for each in readings.known_days(WHOLE))
    first = math.floor(end)
    # Of the day on which they end only the rest is to come.
    share = np.ones(HORIZON)
    share[0] = 1 - (end - first)
    # A day measured to its half or more counts as measured.
    told = [one for one in forecast if _index(one.day) >= end - 0.5]
    told = sorted((one for one in told if _index(one.day) < first + HORIZON), key=lambda one: one.day)
    known = Known(
        np.concatenate([days, [float(_index(one.day)) for one in told]]),
        np.concatenate([means, [(one.low + one.high) / 2 for one in told]]),
        _noise(np.where(shares < WHOLE, HALF_RANGE * (1 - shares), 0), told),
    )
    of = likely(Prior(north, constant), known)
    by_readings = constant is None or bool(told)  # else the constant is the mean, whatever was measured
    usable = known if by_readings else Known(days[:0], means[:0], known.noise[:0, :0])
    found = daily_means(Prior(north, constant, open=constant is None), of, usable, first, share)
    half = float(halves[-RECENT:].mean()) if by_readings and len(halves) else 0.0
    step = np.diff(found.sums_sd(0)) / np.maximum(share, 1e-9)
    apart = np.maximum(found.variance - step**2, 0) if half else np.zeros(HORIZON)
    halves_to_come = np.full(HORIZON, half)
    for one in told:
        halves_to_come[_index(one.day) - first] = (one.high - one.low) / 2
    return Weather(first, found.mean, np.sqrt(halves_to_come**2 + 2 * apart), found)


def _index(day: date) -> int:
    return (day - EPOCH.date()).days


def _noise(missing: Floats, told: Sequence[ForecastDay]) -> Floats:
    """Covariance of the errors of what is known of each day: of those measured, then the forecast's.

    ``missing``: standard deviation of the error by what is not measured of a day, °C. With a wave of
    amplitude A the mean over a share s of a day, at any hour, departs from that of the day by
    A sin(πs) / (πs√2), which is A (1 - s) within a tenth of A. The hours missing may be the same each day:
    their errors are one.
    """
    found = np.zeros((len(missing) + len(told),) * 2)
    found[: len(missing), : len(missing)] = np.outer(missing, missing)
    if told:
        lead = np.array([(one.day - told[0].day) / timedelta(days=1) for one in told])
        sd = np.minimum(climate.FORECAST_FIRST + climate.FORECAST_GROWS * lead, climate.FORECAST_MOST)
        alike = climate.FORECAST_PERSISTENCE ** np.abs(lead - lead[:, None])
        found[len(missing) :, len(missing) :] = sd * sd[:, None] * alike + climate.FORECAST_SITE**2
    return found
