"""Predictive distribution of one pupa's emergence, conditional on the error it shares with others.

By itself it is that of `marginal`, where the clock of readiness is explained.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property, lru_cache

import numpy as np

from planner.emergence.clock import days_from_epoch
from planner.emergence.conditional import WEIGHT, Conditional
from planner.emergence.curve import Curve
from planner.emergence.degree_days import Floats
from planner.emergence.each_pupa import of_each
from planner.emergence.marginal import (
    LEAST,
    STRAY,
    STRAY_SPAN,
    Marginal,
    clock_of,
    dark_days,
    dark_likelihood,
    days_possible,
    hours_left,
    pupation_times,
)
from planner.emergence.profiles import Profile
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season


@dataclass(frozen=True, eq=False)
class Emergence:
    """The predictive distribution of one pupa's emergence, conditional on the error it shares with others.

    The rows of ``apart`` and ``near`` belong to the values COMMON of the shared error; weighted
    by WEIGHT both have the same mean. They are not normalised: the likelihood of what was observed is
    multiplied in.

    Attributes
    ----------
    species : str
        Key of its profile.
    pupated : date
        Day of pupation.
    profile : Profile
        The profile it is forecast with.
    first : int
        Start of the first hour, whole days from EPOCH.
    apart : ndarray, shape (len(WEIGHT), hours)
        Chance of each hour of the clock, given the error shared by all pupae of the season. The hours fill
        whole days.
    near : ndarray, same shape
        The same, given the error shared by the pupae of one pupation day.
    stray : float
        Chance, on the same scale, that it follows no forecast.
    since : float
        Time of the clock, days from EPOCH, until which it is known not to have emerged; 0 when nothing is
        known.
    """

    species: str
    pupated: date
    profile: Profile
    first: int
    apart: Floats
    near: Floats
    stray: float
    since: float = 0.0

    @cached_property
    def marginal(self) -> Marginal:
        """The distribution by itself."""
        hours = tuple(float(x) for x in (WEIGHT @ self.apart).tolist())
        return Marginal(self.profile, self.first, hours, self.stray, self.since)

    @property
    def never(self) -> float:
        """``Marginal.never``."""
        return self.marginal.never

    def chances(self, days: Iterable[date]) -> dict[date, float]:
        """``Marginal.chances``."""
        return self.marginal.chances(days)

    def chance_by(self, moment: datetime) -> float:
        """``Marginal.chance_by``."""
        return self.marginal.chance_by(moment)

    def quantile(self, chance: float) -> datetime:
        """``Marginal.quantile``."""
        return self.marginal.quantile(chance)

    def chance_dry_by(self, moment: datetime) -> float:
        """Chance, 0 to 1, that by a moment (local time) it has emerged and dried its wings."""
        return self.chance_by(moment - timedelta(hours=self.profile.wing_drying))

    def dry_by(self, chance: float) -> datetime:
        """When it has emerged and dried its wings, with a chance; given that it emerges."""
        return self.quantile(chance) + timedelta(hours=self.profile.wing_drying)

    @property
    def median(self) -> datetime:
        """``Marginal.median``."""
        return self.marginal.median

    def interval(self, level: float = 0.9) -> tuple[datetime, datetime]:
        """``Marginal.interval``."""
        return self.marginal.interval(level)

    def wall(self, clock: Floats) -> Floats:
        """Local time of emergence for each time of readiness on the clock; both in days from EPOCH."""
        day, low, high = np.floor(clock), self.profile.emerges_from, self.profile.emerges_until
        return np.asarray(day + (low + (high - low) * (clock - day)) / 24)

    def clock(self, wall: Floats) -> Floats:
        """Latest time of readiness on the clock for an emergence by each local time; both in days from EPOCH.

        It is the inverse of ``wall``, and constant outside the emergence hours.
        """
        day, low, high = np.floor(wall), self.profile.emerges_from, self.profile.emerges_until
        return np.asarray(day + np.clip(((wall - day) * 24 - low) / (high - low), 0, 1))

    def not_before(self, now: datetime) -> Emergence:
        """``Marginal.not_before``."""
        clock = clock_of(self.profile, days_from_epoch(now))
        if clock <= self.first:
            return self
        wide = replace(self, since=clock)
        if int(clock) - self.first >= self.apart.shape[1] // 24:  # then the days between have chance 0
            none = np.zeros((len(WEIGHT), 24))
            wide = replace(wide, first=int(clock), apart=none, near=none)
        left = np.array(hours_left(wide.first, wide.apart.shape[1], clock))
        found = wide._weighed(left)
        if (WEIGHT @ found.apart).sum() > LEAST:
            return found
        hour = np.where(np.arange(len(left)) == np.argmax(left > 0), LEAST, 0) * np.ones((len(WEIGHT), 1))
        return replace(found, apart=hour, near=hour, stray=max(found.stray, LEAST * 1e6))

    def darkening_seen(self, seen: When) -> Emergence:
        """``Marginal.darkening_seen``."""
        wide = self._reaching(*dark_days(self.profile, seen))
        even = self.stray / (STRAY_SPAN * 24)
        weight = np.array(dark_likelihood(self.profile, wide.first, wide.apart.shape[1], seen))
        dark = replace(wide, apart=wide.apart + even, near=wide.near + even)._weighed(weight)
        return replace(dark, stray=STRAY / (1 - STRAY) * float((WEIGHT @ dark.apart).sum()))

    def _weighed(self, weight: Floats) -> Emergence:
        """The distribution multiplied by a likelihood of each hour, shape (hours,)."""
        return replace(self, apart=self.apart * weight, near=self.near * weight)

    def _reaching(self, first: int, last: int) -> Emergence:
        """The distribution padded with zeros to hold the days ``first`` to ``last`` as well."""
        before = max(0, self.first - first) * 24
        after = max(0, last + 1 - self.first - self.apart.shape[1] // 24) * 24
        apart, near = (np.pad(x, ((0, 0), (before, after))) for x in (self.apart, self.near))
        return replace(self, first=min(self.first, first), apart=apart, near=near)


def emergence(season: Season, pupa: Pupa, now: datetime | None = None) -> Emergence | None:
    """The distribution of a pupa's emergence, given what is known of it by ``now`` (local time).

    Returns
    -------
    Emergence or None
        None for a prepupa, and where not even the earliest 5 % emerge within a year.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        Temperatures or ``learned.yaml`` cannot be read.
    """
    return emergences(season, [pupa], now)[pupa.id]


def emergences(
    season: Season, pupae: Sequence[Pupa], now: datetime | None = None
) -> dict[str, Emergence | None]:
    """``emergence`` of many pupae, by id, as `of_each`."""
    return of_each(season, pupae, now, unconditional)


@lru_cache(maxsize=64)  # asked for with every forecast
def unconditional(profile: Profile, curve: Curve, species: str, pupated: When) -> Emergence:
    """The distribution of emergence given the time of pupation alone.

    Given the standardised shared error z, the requirement is normal. z is shared out between the pupae, whose
    requirements are larger by the shared part of the spread, and the weather to come, which brings less
    (`Curve.less`); the remaining part of the spread is each one's own. Where the hour of pupation is unknown,
    it is uniform over the day.

    Parameters
    ----------
    profile, curve
        Of the species. The curve must reach the requirement of the earliest pupae within a year.
    species : str
        Key of the species.
    pupated : When
        Time of pupation.

    Returns
    -------
    Emergence
        The chance of development that takes longer than a year is counted in ``stray``.
    """
    times, weights = pupation_times(pupated)
    start = curve.at(np.array(times))
    first, last = days_possible(profile, curve, pupated, start.tolist())
    edges = first + np.arange((last - first) * 24 + 1) / 24
    middle, sd = days_from_epoch(pupated.middle), profile.spread * profile.requirement
    given = Conditional(curve, middle, start, np.array(weights), edges, profile.requirement, sd)
    apart = given.given_season(profile.season_share)
    near = given.given_siblings(profile.season_share, profile.day_share, profile.sibling_spread)
    unreached = max(0.0, 1 - float((WEIGHT @ apart).sum()))
    return Emergence(
        species, pupated.day, profile, first, apart * (1 - STRAY), near * (1 - STRAY),
        STRAY + (1 - STRAY) * unreached,
    )  # fmt: skip
