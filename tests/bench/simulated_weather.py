"""Do the intervals hold outdoors, where the weather to come is not known? By simulation; run by hand.

    python tests/bench/calibration.py --weather --seasons 200

Each season draws a year of daily temperatures of one of several climates, of which the program knows nothing,
and one pupa for each month. The readings end on the day of pupation, or two days later. The climates differ
in persistence, order of the autoregression, tails, spells of weeks, and in how early the readings begin.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from planner.emergence import predict, shipped
from planner.emergence.clock import days_from_epoch
from planner.emergence.degree_days import single_sine
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

MONTHS = {5: "May", 6: "Jun", 7: "Jul", 8: "Aug", 9: "Sep"}
FIRST = date(2027, 1, 1)
DAYS = 500


@dataclass(frozen=True)
class Climate:
    """A place: yearly mean and half range of its course (°C), and its anomalies.

    Attributes
    ----------
    sd : float
        Of the daily mean's anomalies in July, °C; in January it is half as much again.
    lags : tuple of float
        Coefficients of the autoregression.
    tails : float or None
        Degrees of freedom of Student's t, of which the innovations are; None: normal.
    slow : float
        Standard deviation of what lasts for a month, °C.
    half : float
        Half the difference of a day's extremes, °C.
    known : int
        Days measured before the pupation.
    """

    name: str
    species: str
    mean: float
    course: float
    sd: float
    lags: tuple[float, ...] = (0.7,)
    tails: float | None = None
    slow: float = 0.8
    half: float = 5.0
    known: int = 30
    warmest: int = 203


CLIMATES = (
    Climate("coast", "large-white", 10.8, 6.8, 1.7, (0.75,), half=4.0),
    Climate("inland", "monarch", 11.0, 12.5, 3.0, (0.7,), half=6.0),
    Climate("mediterranean", "monarch", 17.0, 8.0, 1.9, (0.7,), half=5.5, warmest=213),
    Climate("warm and damp", "monarch", 19.5, 9.0, 1.8, (0.6,), half=5.0),
    Climate("little persistence", "cabbage-white", 12.0, 9.0, 2.6, (0.45,), half=5.0),
    Climate("much persistence", "cabbage-white", 12.0, 9.0, 2.6, (0.85,), half=5.0),
    Climate("second order", "cabbage-white", 12.0, 9.0, 2.4, (0.85, -0.2), half=5.0),
    Climate("heavy tails", "monarch", 13.0, 10.5, 2.6, (0.7,), tails=4.0, half=6.0),
    Climate("long spells", "monarch", 13.0, 10.5, 2.2, (0.6,), slow=2.0, half=6.0),
    Climate("readings of a week", "monarch", 13.0, 10.5, 2.6, (0.7,), half=6.0, known=7),
    Climate("readings of four months", "monarch", 13.0, 10.5, 2.6, (0.7,), half=6.0, known=120),
)


def extremes(climate: Climate, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest temperature of each day from FIRST on."""
    day, spin = np.arange(DAYS), 60
    noise = rng.normal(size=DAYS + spin)
    if climate.tails:
        noise = rng.standard_t(climate.tails, DAYS + spin) / np.sqrt(climate.tails / (climate.tails - 2))
    anomaly = np.zeros(DAYS + spin)
    for i in range(2, DAYS + spin):
        anomaly[i] = sum(c * anomaly[i - 1 - k] for k, c in enumerate(climate.lags)) + noise[i]
    c = (*climate.lags, 0.0)[:2]
    r1 = c[0] / (1 - c[1])
    unit = np.sqrt(1 / (1 - c[0] * r1 - c[1] * (c[1] + c[0] * r1)))  # its standard deviation
    slow = np.zeros(DAYS + spin)
    slow[0] = rng.normal()
    keep = np.exp(-1 / 30)
    for i in range(1, DAYS + spin):
        slow[i] = keep * slow[i - 1] + np.sqrt(1 - keep**2) * rng.normal()
    season = np.cos(2 * np.pi * (day - climate.warmest) / 365.25)
    mean = climate.mean + rng.normal(0, 0.5) + climate.course * season
    mean += climate.sd * (1.25 - 0.25 * season) * anomaly[spin:] / unit + climate.slow * slow[spin:]
    half = climate.half * np.exp(rng.normal(0, 0.3, DAYS))
    return np.round(mean - half, 1), np.round(mean + half, 1)


def seasons(climate: Climate, number: int, later: int) -> Iterator[tuple[int, bool, bool, float, float]]:
    """Month, whether the 90 % and the central 50 % interval hold, error and width in days, of each pupa."""
    profile = shipped()[climate.species]
    for seed in range(number):
        rng = np.random.default_rng([seed, later, CLIMATES.index(climate)])
        low, high = extremes(climate, rng)
        total = np.append(0, np.cumsum(single_sine(low, high, profile.lower, profile.upper, profile.fall)))
        edges = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + np.arange(DAYS + 1.0)
        for month in MONTHS:
            day = date(2027, month, int(rng.integers(1, 29)))
            start = days_from_epoch(datetime.combine(day, datetime.min.time())) + rng.random()
            need = profile.requirement * (1 + profile.spread * rng.normal())
            reached = np.interp(start, edges, total) + need
            truth = float(np.interp(reached, total, edges)) if reached < total[-1] else np.inf
            end = day + timedelta(days=later + 1)
            begin = max(FIRST, day - timedelta(days=climate.known))
            rows = [
                f"{FIRST + timedelta(days=i)},{low[i]:.1f},{high[i]:.1f}\n"
                for i in range((begin - FIRST).days, (end - FIRST).days)
            ]
            season = Season(
                folder=Path("/nowhere"), name="simulated", constant=None, timezone="Europe/Lisbon",
                temperature_file="temperatures.csv", readings=("date,min,max\n" + "".join(rows)).encode(),
            )  # fmt: skip
            due = predict(season, Pupa(id="p", species=climate.species, place="lid", pupated=When(day)))
            if due is None:
                yield month, False, False, np.nan, np.nan
                continue
            a, m, b = (days_from_epoch(moment) for moment in (due.low, due.median, due.high))
            half = [days_from_epoch(moment) for moment in due.half or (due.median, due.median)]
            yield month, a <= truth <= b, half[0] <= truth <= half[1], m - truth, b - a


def report(number: int, climates: Sequence[str]) -> None:
    """Print a line for each climate; ``climates``: their names, none for all."""
    for later in (0, 2):
        print(
            f"readings end {later} days after pupation: 90 % / 50 % interval held; median error; median width"
        )
        for climate in CLIMATES:
            if climates and climate.name not in climates:
                continue
            found = list(seasons(climate, number, later))
            cells = []
            for month, name in MONTHS.items():
                of = [one for one in found if one[0] == month]
                error, width = (np.nanmedian(np.abs([one[k] for one in of])) for k in (3, 4))
                cells.append(f"{name} {_held(of)} {error:4.1f} {width:5.1f} d")
            print(f"  {climate.name:24} {_held(found)}:  {';  '.join(cells)}", flush=True)


def _held(found: Sequence[tuple[int, bool, bool, float, float]]) -> str:
    """Percent of the pupae of which the two intervals held: `` 91/49``."""
    return "/".join(f"{100 * np.mean([one[k] for one in found]):2.0f}" for k in (1, 2))
