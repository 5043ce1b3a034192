"""One pupa outdoors: the forecast of it, by readings that end early, and when it emerges in truth."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from pathlib import Path

import numpy as np

from planner.emergence import Profile, predict, shipped
from planner.emergence.clock import days_from_epoch
from planner.emergence.degree_days import ramp
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

Judged = tuple[bool, bool, float, float]  # the 90 % and the 50 % interval hold; error and width, days


@dataclass(frozen=True, eq=False)
class Outdoors:
    """Days in a row from ``first`` on.

    Attributes
    ----------
    hourly : ndarray, shape (days, 24)
        What the pupae live through, °C.
    low, high : ndarray, shape (days,)
        What is written down of each day, °C.
    known : int
        Days measured before a pupation.
    """

    first: date
    hourly: np.ndarray
    low: np.ndarray
    high: np.ndarray
    zone: str
    species: str
    known: int

    @property
    def profile(self) -> Profile:
        return shipped()[self.species]

    @cached_property
    def total(self) -> np.ndarray:
        """Degree-days gathered up to each hour."""
        profile, each = self.profile, self.hourly.ravel()
        rate = ramp(each, each, profile.lower, profile.upper, profile.fall)
        return np.append(0, np.cumsum(rate / 24))

    @cached_property
    def edges(self) -> np.ndarray:
        """The hours, in days from EPOCH."""
        start = days_from_epoch(datetime.combine(self.first, datetime.min.time()))
        return start + np.arange(self.hourly.size + 1) / 24

    def judged(self, day: date, later: int, rng: np.random.Generator) -> Judged:
        """Of one that pupates on ``day`` at any hour; readings end ``later`` days after it."""
        start = days_from_epoch(datetime.combine(day, datetime.min.time())) + rng.random()
        need = self.profile.requirement * (1 + self.profile.spread * rng.normal())
        reached = np.interp(start, self.edges, self.total) + need
        truth = np.inf
        if reached < self.total[-1]:
            truth = float(np.interp(reached, self.total, self.edges))
        due = predict(
            self._season(day, later), Pupa(id="p", species=self.species, place="lid", pupated=When(day))
        )
        if due is None:
            return False, False, np.nan, np.nan
        a, m, b = (days_from_epoch(moment) for moment in (due.low, due.median, due.high))
        half = [days_from_epoch(moment) for moment in due.half or (due.median, due.median)]
        return a <= truth <= b, half[0] <= truth <= half[1], m - truth, b - a

    def _season(self, day: date, later: int) -> Season:
        end = day + timedelta(days=later + 1)
        begin = max(self.first, day - timedelta(days=self.known))
        rows = (
            f"{self.first + timedelta(days=i)},{self.low[i]:.1f},{self.high[i]:.1f}\n"
            for i in range((begin - self.first).days, (end - self.first).days)
        )
        return Season(
            folder=Path("/nowhere"), name="outdoors", constant=None, timezone=self.zone,
            temperature_file="temperatures.csv", readings=("date,min,max\n" + "".join(rows)).encode(),
        )  # fmt: skip
