"""The predicted emergence of one pupa as a distribution over days and hours.

Development is reckoned on a clock whose every hour is as good as another: requirements were counted from day
to day, so that is the clock they are right on. Emergences in fact keep to some hours. Whoever becomes ready
after them waits for the next morning, and then they come out in the order in which they became ready: each
day of the clock is squeezed into that day's hours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import Curve, curve_of
from planner.emergence.degree_days import Floats
from planner.emergence.normal import normal_cdf
from planner.emergence.predict import LONGEST, reached_all
from planner.emergence.profiles import Profile, profile_of
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

STRAY = 0.01  # of all pupae keep to no forecast: they rest, are dead, or were noted wrongly. A guess
LEAST = 1e-12  # a chance that is none
STRAY_SPAN = 30.0  # days over which those that show life after all are spread
FARTHEST = 5.5  # standard deviations from the median that are reckoned with
# Gauss-Hermite nodes for the error that pupae have in common, Gauss-Legendre for the hour of pupation.
_Z, _W = np.polynomial.hermite_e.hermegauss(15)
COMMON, WEIGHT = _Z, _W / _W.sum()
_H, _HW = np.polynomial.legendre.leggauss(6)
HOURS, HOUR_WEIGHT = (_H + 1) / 2, _HW / 2


@dataclass(frozen=True, eq=False)
class Emergence:
    """When one pupa will emerge.

    ``apart``, ``near``: chances of each hour of the clock, one row for each value of the error in common with
    the season's other pupae, and with those of the same pupation day; weighted by WEIGHT, both have the same
    mean. Not normalised: what is known of the pupa has been multiplied in. ``stray``: chance, on the same
    scale, that it keeps to no forecast. ``first``: the first hour's days from EPOCH, whole. ``since``: until
    then on the clock it has not emerged.
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
        """Chance of each hour of the clock, that it emerges being taken as given."""
        mean = WEIGHT @ self.apart
        return np.asarray(mean / mean.sum())

    @property
    def never(self) -> float:
        """Chance that it keeps to no forecast; grows when it is overdue."""
        return self.stray / (self.stray + float((WEIGHT @ self.apart).sum()))

    def chances(self, days: Iterable[date]) -> dict[date, float]:
        """Chance of emerging on each day; over all days they add up to 1 - ``never``."""
        by_day = self.shares.reshape(-1, 24).sum(axis=1) * (1 - self.never)
        places = {day: (day - EPOCH.date()).days - self.first for day in days}
        return {day: float(by_day[i]) if 0 <= i < len(by_day) else 0.0 for day, i in places.items()}

    def chance_by(self, moment: datetime) -> float:
        """Chance that it has emerged by a moment."""
        total = np.concatenate([[0.0], np.cumsum(self.shares)])
        clock = float(self.clock(np.array(days_from_epoch(moment))))
        return float(np.interp((clock - self.first) * 24, np.arange(len(total)), total)) * (1 - self.never)

    def quantile(self, chance: float) -> datetime:
        """The moment by which it has emerged with this chance (0 to 1), if it does."""
        total = np.concatenate([[0.0], np.cumsum(self.shares)])
        ready = self.first + float(np.interp(chance, total, np.arange(len(total)))) / 24
        ready = max(ready, self.since)
        return EPOCH + timedelta(seconds=round(float(self.wall(np.array(ready))) * 86400))

    @property
    def median(self) -> datetime:
        """Median, local time, at an hour at which they emerge."""
        return self.quantile(0.5)

    def interval(self, level: float = 0.9) -> tuple[datetime, datetime]:
        """The central interval that holds it with this chance."""
        return self.quantile((1 - level) / 2), self.quantile((1 + level) / 2)

    def wall(self, clock: Floats) -> Floats:
        """Time of day at which one emerges that is ready at a time of the clock. Days from EPOCH."""
        day, low, high = np.floor(clock), self.profile.emerges_from, self.profile.emerges_until
        return np.asarray(day + (low + (high - low) * (clock - day)) / 24)

    def clock(self, wall: Floats) -> Floats:
        """By which time of the clock those are ready that have emerged by a time of day."""
        day, low, high = np.floor(wall), self.profile.emerges_from, self.profile.emerges_until
        return np.asarray(day + np.clip(((wall - day) * 24 - low) / (high - low), 0, 1))

    def not_before(self, now: datetime) -> Emergence:
        """What is left when it has not emerged by ``now``; if that is next to nothing, the hour to come."""
        clock = float(self.clock(np.array(days_from_epoch(now))))
        if clock <= self.first:
            return self
        day, none = int(clock), np.zeros((len(WEIGHT), 24))
        past = day - self.first >= self.apart.shape[1] // 24  # then the days between hold nothing
        wide = replace(self, first=day, apart=none, near=none) if past else self._reaching(self.first, day)
        wide = replace(wide, since=clock)
        left = np.arange(wide.apart.shape[1]) + 1 - (clock - wide.first) * 24
        found = wide._weighed(np.clip(left, 0, 1))
        if (WEIGHT @ found.apart).sum() > LEAST:
            return found
        hour = np.where((left > 0) & (left <= 1), LEAST, 0) * np.ones((len(WEIGHT), 1))
        return replace(found, apart=hour, near=hour, stray=max(found.stray, LEAST * 1e6))

    def darkening_seen(self, seen: When) -> Emergence:
        """What is left when darkening began in the day before ``seen`` (on that day, if it has no hour).

        It emerges ``darkens_before`` ± ``darkens_spread`` later. A pupa that darkens at quite another time
        than foretold is taken for a stray, and follows its darkening. Apply before ``not_before``.
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
        # It may still be dead: as likely as any.
        return replace(dark, stray=STRAY / (1 - STRAY) * float((WEIGHT @ dark.apart).sum()))

    def _weighed(self, weight: Floats) -> Emergence:
        """Multiply a likelihood of each hour in."""
        return replace(self, apart=self.apart * weight, near=self.near * weight)

    def _reaching(self, first: int, last: int) -> Emergence:
        """The same, from the start of a day to the end of another at least."""
        before = max(0, self.first - first) * 24
        after = max(0, last + 1 - self.first - self.apart.shape[1] // 24) * 24
        apart, near = (np.pad(x, ((0, 0), (before, after))) for x in (self.apart, self.near))
        return replace(self, first=min(self.first, first), apart=apart, near=near)


def emergence(season: Season, pupa: Pupa, now: datetime | None = None) -> Emergence | None:
    """When a pupa emerges, given what is known of it by ``now``; None where not even the earliest may.

    Raises as ``predict`` does.
    """
    return emergences(season, [pupa], now)[pupa.id]


def emergences(
    season: Season, pupae: Sequence[Pupa], now: datetime | None = None
) -> dict[str, Emergence | None]:
    """``emergence`` for many, by id. Pupae of which the same is known share one object."""
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
    """From pupation alone. The curve must reach the requirement of the earliest within a year.

    What it does not reach within a year counts to ``stray``.

    Given the error in common z, the requirement is normal about K (1 + c z) with its own part of the spread;
    the hour of pupation is even over the day where it is not known.
    """
    earliest, latest = days_from_epoch(pupated.earliest), days_from_epoch(pupated.latest)
    if latest > earliest:
        start, weight = curve.at(earliest + HOURS * (latest - earliest)), HOUR_WEIGHT
    else:
        start, weight = curve.at(np.array([earliest])), np.ones(1)
    far = FARTHEST * profile.spread
    ends = curve.when(
        np.array(
            [start[0] + profile.requirement * max(0.0, 1 - far), start[-1] + profile.requirement * (1 + far)]
        )
    )
    first = int(max(earliest, ends[0]))
    last = int(min(earliest + LONGEST, ends[1])) + 1
    edges = curve.at(first + np.arange((last - first) * 24 + 1) / 24)
    needed = (edges - start[:, None]) / profile.requirement - 1  # hours of pupation × edges

    def given(common: float) -> Floats:
        own = profile.spread * np.sqrt(1 - common)
        error = profile.spread * np.sqrt(common) * COMMON[:, None, None]
        reached = np.einsum("h,zht->zt", weight, normal_cdf((needed - error) / own))
        reached[:, 0] = 0  # the little that lies before is put into the first hour
        return np.asarray(np.diff(reached))

    apart, near = given(profile.season_share), given(profile.season_share + profile.day_share)
    unreached = max(0.0, 1 - float((WEIGHT @ apart).sum()))
    return Emergence(
        species, pupated.day, profile, first, apart * (1 - STRAY), near * (1 - STRAY),
        STRAY + (1 - STRAY) * unreached,
    )  # fmt: skip
