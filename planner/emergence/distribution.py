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

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache

import numpy as np

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.conditional import HOUR_WEIGHT, HOURS, WEIGHT, Conditional
from planner.emergence.curve import Curve
from planner.emergence.degree_days import Floats
from planner.emergence.normal import normal_cdf
from planner.emergence.predict import LONGEST, reached_all
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.stays import Stay, curve_at, stay_of
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

STRAY = 0.01  # share of pupae that follow no forecast: in diapause, dead, or recorded wrongly. A guess
LEAST = 1e-12  # a chance below this counts as zero
STRAY_SPAN = 30.0  # days over which the emergence of a stray that darkens after all is uniform
FARTHEST = 5.5  # standard deviations from the median at which the distribution is cut off


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

    @property
    def shares(self) -> Floats:
        """Chance of each hour of the clock, given that it emerges; shape (hours,), sum 1."""
        mean = WEIGHT @ self.apart
        return np.asarray(mean / mean.sum())

    @property
    def never(self) -> float:
        """Chance, 0 to 1, that it follows no forecast; it grows while the pupa is overdue."""
        return self.stray / (self.stray + float((WEIGHT @ self.apart).sum()))

    def chances(self, days: Iterable[date]) -> dict[date, float]:
        """Chance, 0 to 1, of emerging on each day; over all days they sum to 1 - ``never``."""
        by_day = self.shares.reshape(-1, 24).sum(axis=1) * (1 - self.never)
        places = {day: (day - EPOCH.date()).days - self.first for day in days}
        return {day: float(by_day[i]) if 0 <= i < len(by_day) else 0.0 for day, i in places.items()}

    def chance_by(self, moment: datetime) -> float:
        """Chance, 0 to 1, that it has emerged by a moment (local time)."""
        total = np.concatenate([[0.0], np.cumsum(self.shares)])
        clock = float(self.clock(np.array(days_from_epoch(moment))))
        return float(np.interp((clock - self.first) * 24, np.arange(len(total)), total)) * (1 - self.never)

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
        total = np.concatenate([[0.0], np.cumsum(self.shares)])
        ready = self.first + float(np.interp(chance, total, np.arange(len(total)))) / 24
        ready = max(ready, self.since)
        return EPOCH + timedelta(seconds=round(float(self.wall(np.array(ready))) * 86400))

    @property
    def median(self) -> datetime:
        """Median time of emergence, local time, within the emergence hours of its day."""
        return self.quantile(0.5)

    def interval(self, level: float = 0.9) -> tuple[datetime, datetime]:
        """Central prediction interval, local time; ``level``: its chance, 0 to 1."""
        return self.quantile((1 - level) / 2), self.quantile((1 + level) / 2)

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
        """The distribution conditional on no emergence before ``now`` (local time).

        When the chance left is at most LEAST, the whole of it is put into the hour to come.
        """
        clock = float(self.clock(np.array(days_from_epoch(now))))
        if clock <= self.first:
            return self
        day, none = int(clock), np.zeros((len(WEIGHT), 24))
        past = day - self.first >= self.apart.shape[1] // 24  # then the days between have chance 0
        wide = replace(self, first=day, apart=none, near=none) if past else self._reaching(self.first, day)
        wide = replace(wide, since=clock)
        left = np.arange(wide.apart.shape[1]) + 1 - (clock - wide.first) * 24
        found = wide._weighed(np.clip(left, 0, 1))
        if (WEIGHT @ found.apart).sum() > LEAST:
            return found
        hour = np.where((left > 0) & (left <= 1), LEAST, 0) * np.ones((len(WEIGHT), 1))
        return replace(found, apart=hour, near=hour, stray=max(found.stray, LEAST * 1e6))

    def darkening_seen(self, seen: When) -> Emergence:
        """The distribution conditional on darkening that began in the 24 h before the end of ``seen``.

        The time from darkening to emergence is normal, with mean ``darkens_before`` and standard deviation
        ``darkens_spread`` hours. A pupa that darkens at a time far from its forecast counts as a stray, and
        its emergence is predicted from its darkening alone. To be applied before ``not_before``.
        """
        began = days_from_epoch(seen.latest)
        last = int(began + 1 + (self.profile.darkens_before + 5 * self.profile.darkens_spread) / 24)
        wide = self._reaching(int(began) - 1, last)
        middles = wide.first + (np.arange(wide.apart.shape[1]) + 0.5) / 24
        lead = (wide.wall(middles) - began) * 24 - self.profile.darkens_before
        sd = self.profile.darkens_spread
        weight = normal_cdf((lead + 24) / sd) - normal_cdf(lead / sd)
        even = self.stray / (STRAY_SPAN * 24)
        dark = replace(wide, apart=wide.apart + even, near=wide.near + even)._weighed(weight)
        # Darkening does not exclude that it is dead: the chance of a stray is again that of any pupa.
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
    """``emergence`` of many pupae, by id.

    Pupae alike in species, stay, pupation, darkening and presence share one object.
    """
    curves: dict[tuple[str, Stay], tuple[Profile, Curve]] = {}
    made: dict[tuple[str, Stay, When | None, When | None, bool], Emergence | None] = {}
    found: dict[str, Emergence | None] = {}
    for pupa, reached in zip(pupae, reached_all(season, pupae), strict=True):
        seen = pupa.darkening
        if seen and now and seen.earliest > now:
            seen = None
        kind = pupa.species, stay_of(season, pupa)
        key = (*kind, pupa.pupated, seen, pupa.present)
        if not reached.ready or pupa.pupated is None:
            made[key] = None
        elif key not in made:
            if kind not in curves:
                profile = profile_of(season, pupa.species)
                curves[kind] = profile, curve_at(season, profile, kind[1])
            whole = unconditional(*curves[kind], pupa.species, pupa.pupated)
            whole = whole.darkening_seen(seen) if seen else whole
            made[key] = whole.not_before(now) if now and pupa.present else whole
        found[pupa.id] = made[key]
    return found


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
    earliest, latest = (days_from_epoch(moment) for moment in pupated.span)
    if latest > earliest:
        start, weight = curve.at(earliest + HOURS * (latest - earliest)), HOUR_WEIGHT
    else:
        start, weight = curve.at(np.array([earliest])), np.ones(1)
    sd = profile.spread * profile.requirement
    begun = float(start[0]), float(start[-1])
    middle = (earliest + latest) / 2
    ends = [
        curve.late([middle], [profile.requirement + g - float(start.mean())], [sd], z)[0]
        for g, z in zip(begun, (-FARTHEST, FARTHEST), strict=True)
    ]
    first = int(max(earliest, ends[0]))
    last = int(min(earliest + LONGEST, ends[1])) + 1
    edges = first + np.arange((last - first) * 24 + 1) / 24
    given = Conditional(curve, middle, start, weight, edges, profile.requirement, sd)
    apart = given.given_season(profile.season_share)
    near = given.given_siblings(profile.season_share, profile.day_share, profile.sibling_spread)
    unreached = max(0.0, 1 - float((WEIGHT @ apart).sum()))
    return Emergence(
        species, pupated.day, profile, first, apart * (1 - STRAY), near * (1 - STRAY),
        STRAY + (1 - STRAY) * unreached,
    )  # fmt: skip
