"""Predictive distribution of one pupa's emergence, by hour and by day.

Development is computed on a uniform clock, on which all hours of the day are equally likely, because
requirements were fitted to records kept by the day. Adults in fact emerge within certain hours of the day.
A pupa that is ready after them emerges the next morning, in the order of readiness. Therefore each day of
the clock is mapped linearly onto the emergence hours of that day (``emerges_from`` to ``emerges_until``).

References
----------
David, Gardiner, Bull. Entomol. Res. 53 (1962), doi 10.1017/S0007485300048227: *Pieris brassicae*, light from
6 to 22 h: nearly all emerge between 1 and 9 h.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import accumulate
from typing import TYPE_CHECKING, TypeVar

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import Curve, curve_of
from planner.emergence.predict import reached_all
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.unconditional import STRAY, Unconditional, from_pupation
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats

LEAST = 1e-12  # a chance below this counts as zero
STRAY_SPAN = 30.0  # days over which the emergence of a stray that darkens after all is uniform
Times = TypeVar("Times", float, "Floats")


@dataclass(frozen=True, eq=False)
class Emergence:
    """The predictive distribution of one pupa's emergence.

    Nothing is normalised: the likelihood of what was observed is multiplied in. What was observed makes the
    chance p of an hour ``factor`` * p + ``added``, whatever error the pupa shares with others. So it applies
    to ``apart`` and ``near`` too, which are made on first use, with numpy.

    Attributes
    ----------
    species : str
        Key of its profile.
    pupated : date
        Day of pupation.
    profile : Profile
        The profile it is forecast with.
    unconditional : Unconditional
        What is forecast from the time of pupation alone.
    first : int
        Start of the first hour, whole days from EPOCH.
    factor, added : tuple of float
        One of each for each hour of the clock from ``first`` on. The hours fill whole days.
    stray : float
        Chance, on the same scale, that it follows no forecast.
    since : float
        Time of the clock, days from EPOCH, until which it is known not to have emerged; 0 when nothing is
        known.
    """

    species: str
    pupated: date
    profile: Profile
    unconditional: Unconditional
    first: int
    factor: tuple[float, ...]
    added: tuple[float, ...]
    stray: float
    since: float = 0.0

    @cached_property
    def hours(self) -> list[float]:
        """Chance of each hour of the clock."""
        whole, skipped = self.unconditional.chances, (self.first - self.unconditional.first) * 24
        chances = [
            whole[i] if 0 <= i < len(whole) else 0.0 for i in range(skipped, skipped + len(self.factor))
        ]
        return [f * p + a for f, p, a in zip(self.factor, chances, self.added, strict=True)]

    @cached_property
    def apart(self) -> Floats:
        """Chance of each hour given each value of the error shared by the season's pupae: a row for each."""
        return self._observed(self.unconditional.given[0])

    @cached_property
    def near(self) -> Floats:
        """The same given each value of the error shared by the pupae of one pupation day."""
        return self._observed(self.unconditional.given[1])

    def _observed(self, given: Floats) -> Floats:
        from planner.emergence.shared_error import observed  # numpy: only where two are compared

        return observed(given, (self.first - self.unconditional.first) * 24, self.factor, self.added)

    @cached_property
    def gone(self) -> list[float]:
        """Chance of having emerged by the start of each hour of the clock, and by the end of the last."""
        return [0.0, *accumulate(self.hours)]

    @property
    def never(self) -> float:
        """Chance, 0 to 1, that it follows no forecast; it grows while the pupa is overdue."""
        return self.stray / (self.stray + self.gone[-1])

    def chances(self, days: Iterable[date]) -> dict[date, float]:
        """Chance, 0 to 1, of emerging on each day; over all days they sum to 1 - ``never``."""
        whole = self.stray + self.gone[-1]
        starts = {day: ((day - EPOCH.date()).days - self.first) * 24 for day in days}
        return {
            day: math.fsum(self.hours[i : i + 24]) / whole if i >= 0 else 0.0 for day, i in starts.items()
        }

    def chance_by(self, moment: datetime) -> float:
        """Chance, 0 to 1, that it has emerged by a moment (local time)."""
        place = (self.clock(days_from_epoch(moment)) - self.first) * 24
        hour = min(max(int(place), 0), len(self.hours) - 1)
        share = min(max(place - hour, 0.0), 1.0)
        return (self.gone[hour] + share * self.hours[hour]) / (self.stray + self.gone[-1])

    def quantile(self, chance: float) -> datetime:
        """Quantile of the time of emergence, given that it emerges.

        Parameters
        ----------
        chance : float
            0 to 1.

        Returns
        -------
        datetime
            Local time, within the emergence hours of its day.
        """
        wanted = chance * self.gone[-1]
        hour = min(max(bisect_right(self.gone, wanted) - 1, 0), len(self.hours) - 1)
        share = min((wanted - self.gone[hour]) / self.hours[hour], 1.0) if self.hours[hour] > 0 else 1.0
        ready = max(self.first + (hour + share) / 24, self.since)
        return EPOCH + timedelta(seconds=round(self.wall(ready) * 86400))

    @property
    def median(self) -> datetime:
        """Median time of emergence, local time, within the emergence hours of its day."""
        return self.quantile(0.5)

    def interval(self, level: float = 0.9) -> tuple[datetime, datetime]:
        """Central prediction interval, local time; ``level``: its chance, 0 to 1."""
        return self.quantile((1 - level) / 2), self.quantile((1 + level) / 2)

    def wall(self, clock: Times) -> Times:
        """Local time of emergence for each time of readiness on the clock; both in days from EPOCH."""
        day, low, high = clock // 1, self.profile.emerges_from, self.profile.emerges_until
        return day + (low + (high - low) * (clock - day)) / 24

    def clock(self, wall: Times) -> Times:
        """Latest time of readiness on the clock for an emergence by each local time; both in days from EPOCH.

        It is the inverse of ``wall``, and constant outside the emergence hours.
        """
        day, low, high = wall // 1, self.profile.emerges_from, self.profile.emerges_until
        share = ((wall - day) * 24 - low) / (high - low)
        return day + (abs(share) - abs(share - 1) + 1) / 2  # the share, but no less than 0 and no more than 1

    def not_before(self, now: datetime) -> Emergence:
        """The distribution conditional on no emergence before ``now`` (local time).

        When the chance left is at most LEAST, the whole of it is put into the hour to come.
        """
        clock = self.clock(days_from_epoch(now))
        if clock <= self.first:
            return self
        wide = replace(self._reaching(self.first, int(clock)), since=clock)
        passed = (clock - wide.first) * 24
        left = [min(max(i + 1 - passed, 0.0), 1.0) for i in range(len(wide.factor))]
        found = wide._weighed(left)
        if sum(found.hours) > LEAST:
            return found
        hour = tuple(LEAST if i <= passed < i + 1 else 0.0 for i in range(len(left)))
        return replace(found, factor=(0.0,) * len(hour), added=hour, stray=max(found.stray, LEAST * 1e6))

    def darkening_seen(self, seen: When) -> Emergence:
        """The distribution conditional on darkening that began in the 24 h before the end of ``seen``.

        The time from darkening to emergence is normal, with mean ``darkens_before`` and standard deviation
        ``darkens_spread`` hours. A pupa that darkens at a time far from its forecast counts as a stray, and
        its emergence is predicted from its darkening alone. To be applied before ``not_before``.
        """
        began = days_from_epoch(seen.latest)
        sd, before = self.profile.darkens_spread, self.profile.darkens_before
        wide = self._reaching(int(began) - 1, int(began + 1 + (before + 5 * sd) / 24))
        middles = [wide.first + (i + 0.5) / 24 for i in range(len(wide.factor))]
        leads = [(wide.wall(middle) - began) * 24 - before for middle in middles]
        weight = [_normal_cdf((lead + 24) / sd) - _normal_cdf(lead / sd) for lead in leads]
        even = self.stray / (STRAY_SPAN * 24)
        dark = replace(wide, added=tuple(a + even for a in wide.added))._weighed(weight)
        # Darkening does not exclude that it is dead: the chance of a stray is again that of any pupa.
        return replace(dark, stray=STRAY / (1 - STRAY) * sum(dark.hours))

    def _weighed(self, weight: Sequence[float]) -> Emergence:
        """The distribution multiplied by a likelihood of each hour."""
        factor, added = (
            tuple(x * w for x, w in zip(xs, weight, strict=True)) for xs in (self.factor, self.added)
        )
        return replace(self, factor=factor, added=added)

    def _reaching(self, first: int, last: int) -> Emergence:
        """The distribution made longer to hold the days ``first`` to ``last`` as well."""
        before = (0.0,) * (max(0, self.first - first) * 24)
        after = (0.0,) * (max(0, last + 1 - self.first - len(self.factor) // 24) * 24)
        factor, added = ((*before, *xs, *after) for xs in (self.factor, self.added))
        return replace(self, first=min(self.first, first), factor=factor, added=added)


def _normal_cdf(x: float) -> float:
    """The standard normal distribution function."""
    return math.erfc(-x / math.sqrt(2)) / 2


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
    """``emergence`` of many pupae, by id.

    Pupae alike in species, pupation, darkening and presence share one object.
    """
    curves: dict[str, tuple[Profile, Curve]] = {}
    made: dict[tuple[str, When | None, When | None, bool], Emergence | None] = {}
    found: dict[str, Emergence | None] = {}
    for pupa, reached in zip(pupae, reached_all(season, pupae), strict=True):
        seen = pupa.darkening
        if seen and now and seen.earliest > now:
            seen = None
        key = (pupa.species, pupa.pupated, seen, pupa.present)
        if not reached.ready or pupa.pupated is None:
            made[key] = None
        elif key not in made:
            if pupa.species not in curves:
                profile = profile_of(season, pupa.species)
                curves[pupa.species] = profile, curve_of(season, profile)
            whole = unconditional(*curves[pupa.species], pupa.species, pupa.pupated)
            whole = whole.darkening_seen(seen) if seen else whole
            made[key] = whole.not_before(now) if now and pupa.present else whole
        found[pupa.id] = made[key]
    return found


def unconditional(profile: Profile, curve: Curve, species: str, pupated: When) -> Emergence:
    """The distribution of emergence given the time of pupation alone.

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
    whole = from_pupation(profile, curve, pupated)
    count, stray = len(whole.chances), 1 - sum(whole.chances)
    return Emergence(species, pupated.day, profile, whole, whole.first, (1.0,) * count, (0.0,) * count, stray)
