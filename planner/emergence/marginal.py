"""Predictive distribution of one pupa's emergence by itself, by hour and by day: plain numbers, no arrays.

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
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import accumulate

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import Curve
from planner.emergence.predict import LONGEST
from planner.emergence.profiles import Profile
from planner.season.reading.when import When

STRAY = 0.01  # share of pupae that follow no forecast: in diapause, dead, or recorded wrongly. A guess
LEAST = 1e-12  # a chance below this counts as zero
STRAY_SPAN = 30.0  # days over which the emergence of a stray that darkens after all is uniform
FARTHEST = 5.5  # standard deviations from the median at which a distribution is cut off
# Gauss-Legendre nodes for the hour of pupation, as a share of the day, and their weights, which sum to 1.
_NODES = (0.2386191860831969, 0.6612093864662645, 0.9324695142031521)
_WEIGHTS = (0.4679139345726910, 0.3607615730481386, 0.1713244923791704)
HOUR_NODES = (*((1 - x) / 2 for x in _NODES[::-1]), *((1 + x) / 2 for x in _NODES))
NODE_WEIGHTS = (*(w / 2 for w in _WEIGHTS[::-1]), *(w / 2 for w in _WEIGHTS))


@dataclass(frozen=True)
class Marginal:
    """The predictive distribution of one pupa's emergence, whatever error it shares with others.

    Attributes
    ----------
    profile : Profile
        The profile it is forecast with.
    first : int
        Start of the first hour, whole days from EPOCH.
    hours : tuple of float
        Chance of each hour of the clock, whole days of them. Not normalised: the likelihood of what was
        observed is multiplied in.
    stray : float
        Chance, on the same scale, that it follows no forecast.
    since : float
        Time of the clock, days from EPOCH, until which it is known not to have emerged; 0 when nothing is
        known.
    """

    profile: Profile
    first: int
    hours: tuple[float, ...]
    stray: float
    since: float = 0.0

    @cached_property
    def _totals(self) -> list[float]:
        """Chance that it has emerged by the start of each hour and by the end of the last, if it does."""
        whole = sum(self.hours)
        return [0.0, *(total / whole for total in accumulate(self.hours))]

    @property
    def never(self) -> float:
        """Chance, 0 to 1, that it follows no forecast; it grows while the pupa is overdue."""
        return self.stray / (self.stray + sum(self.hours))

    def chances(self, days: Iterable[date]) -> dict[date, float]:
        """Chance, 0 to 1, of emerging on each day; over all days they sum to 1 - ``never``."""
        totals, emerges, found = self._totals, 1 - self.never, {}
        for day in days:
            i = ((day - EPOCH.date()).days - self.first) * 24
            within = 0 <= i < len(self.hours)
            found[day] = (totals[i + 24] - totals[i]) * emerges if within else 0.0
        return found

    def chance_by(self, moment: datetime) -> float:
        """Chance, 0 to 1, that it has emerged by a moment (local time)."""
        place = (clock_of(self.profile, days_from_epoch(moment)) - self.first) * 24
        place = min(max(place, 0.0), float(len(self.hours)))
        i = min(int(place), len(self.hours) - 1)
        by = self._totals[i] + (place - i) * (self._totals[i + 1] - self._totals[i])
        return by * (1 - self.never)

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
        totals = self._totals
        i = next((k for k in range(len(self.hours)) if totals[k + 1] > chance), len(self.hours))
        within = 0.0 if i == len(self.hours) else (chance - totals[i]) / (totals[i + 1] - totals[i])
        ready = max(self.first + (i + within) / 24, self.since)
        day, low, high = math.floor(ready), self.profile.emerges_from, self.profile.emerges_until
        wall = day + (low + (high - low) * (ready - day)) / 24
        return EPOCH + timedelta(seconds=round(wall * 86400))

    @property
    def median(self) -> datetime:
        """Median time of emergence, local time, within the emergence hours of its day."""
        return self.quantile(0.5)

    def interval(self, level: float = 0.9) -> tuple[datetime, datetime]:
        """Central prediction interval, local time; ``level``: its chance, 0 to 1."""
        return self.quantile((1 - level) / 2), self.quantile((1 + level) / 2)

    def not_before(self, now: datetime) -> Marginal:
        """The distribution conditional on no emergence before ``now`` (local time).

        When the chance left is at most LEAST, the whole of it is put into the hour to come.
        """
        clock = clock_of(self.profile, days_from_epoch(now))
        if clock <= self.first:
            return self
        if int(clock) - self.first >= len(self.hours) // 24:  # then the days between have chance 0
            wide = replace(self, first=int(clock), hours=(0.0,) * 24, since=clock)
        else:
            wide = replace(self, since=clock)
        left = hours_left(wide.first, len(wide.hours), clock)
        found = wide._weighed(left)
        if sum(found.hours) > LEAST:
            return found
        coming = tuple(
            LEAST if 0 < x <= 1 and (k == 0 or not left[k - 1]) else 0.0 for k, x in enumerate(left)
        )
        return replace(wide, hours=coming, stray=max(found.stray, LEAST * 1e6))

    def darkening_seen(self, seen: When) -> Marginal:
        """The distribution conditional on darkening that began in the 24 h before the end of ``seen``.

        The time from darkening to emergence is normal, with mean ``darkens_before`` and standard deviation
        ``darkens_spread`` hours. A pupa that darkens at a time far from its forecast counts as a stray, and
        its emergence is predicted from its darkening alone. To be applied before ``not_before``.
        """
        wide = self._reaching(*dark_days(self.profile, seen))
        even = self.stray / (STRAY_SPAN * 24)
        dark = replace(wide, hours=tuple(x + even for x in wide.hours))
        dark = dark._weighed(dark_likelihood(self.profile, wide.first, len(wide.hours), seen))
        # Darkening does not exclude that it is dead: the chance of a stray is again that of any pupa.
        return replace(dark, stray=STRAY / (1 - STRAY) * sum(dark.hours))

    def _weighed(self, weight: Iterable[float]) -> Marginal:
        """The distribution multiplied by a likelihood of each hour."""
        return replace(self, hours=tuple(x * w for x, w in zip(self.hours, weight, strict=True)))

    def _reaching(self, first: int, last: int) -> Marginal:
        """The distribution padded with zeros to hold the days ``first`` to ``last`` as well."""
        before = (0.0,) * (max(0, self.first - first) * 24)
        after = (0.0,) * (max(0, last + 1 - self.first - len(self.hours) // 24) * 24)
        return replace(self, first=min(self.first, first), hours=(*before, *self.hours, *after))


def pupation_times(pupated: When) -> tuple[list[float], tuple[float, ...]]:
    """The times at which one may have pupated, days from EPOCH, ascending, and their chances.

    Where the hour is unknown it is uniform over the day, or between the two looks: no published hours of
    pupation of butterflies are known to us.
    """
    earliest, latest = (days_from_epoch(moment) for moment in pupated.span)
    if latest <= earliest:
        return [earliest], (1.0,)
    return [earliest + node * (latest - earliest) for node in HOUR_NODES], NODE_WEIGHTS


def days_possible(profile: Profile, curve: Curve, pupated: When, begun: Sequence[float]) -> tuple[int, int]:
    """The first day of a distribution of emergence, and the day after its last; whole days from EPOCH.

    Parameters
    ----------
    profile, curve
        Of the species. The curve must reach the requirement of the earliest pupae within a year.
    pupated : When
        Time of pupation.
    begun : sequence of float
        Cumulative degree-days at its `pupation_times`.
    """
    earliest, middle = days_from_epoch(pupated.span[0]), days_from_epoch(pupated.middle)
    sd, mean = profile.spread * profile.requirement, sum(begun) / len(begun)
    soonest, longest = (
        curve.late([middle], [profile.requirement + g - mean], [sd], z)[0]
        for g, z in ((begun[0], -FARTHEST), (begun[-1], FARTHEST))
    )
    return int(max(earliest, soonest)), int(min(earliest + LONGEST, longest)) + 1


def clock_of(profile: Profile, wall: float) -> float:
    """Latest time of readiness on the clock for an emergence by a local time; both in days from EPOCH.

    Constant outside the emergence hours.
    """
    day, low, high = math.floor(wall), profile.emerges_from, profile.emerges_until
    return day + min(max(((wall - day) * 24 - low) / (high - low), 0.0), 1.0)


def hours_left(first: int, count: int, clock: float) -> list[float]:
    """How much of each hour of the clock from day ``first`` on is after a time of the clock, 0 to 1."""
    return [min(max(k + 1 - (clock - first) * 24, 0.0), 1.0) for k in range(count)]


def dark_days(profile: Profile, seen: When) -> tuple[int, int]:
    """First and last day, whole days from EPOCH, on which one may emerge that was seen darkening."""
    began = days_from_epoch(seen.latest)
    return int(began) - 1, int(began + 1 + (profile.darkens_before + 5 * profile.darkens_spread) / 24)


def dark_likelihood(profile: Profile, first: int, count: int, seen: When) -> list[float]:
    """Likelihood of each hour of the clock from day ``first`` on, given that darkening was seen."""
    began, sd = days_from_epoch(seen.latest), profile.darkens_spread
    low, high = profile.emerges_from, profile.emerges_until
    found = []
    for k in range(count):
        wall = first + k // 24 + (low + (high - low) * (k % 24 + 0.5) / 24) / 24
        lead = (wall - began) * 24 - profile.darkens_before
        found.append(normal_below((lead + 24) / sd) - normal_below(lead / sd))
    return found


def normal_below(x: float) -> float:
    """The standard normal distribution function of one number."""
    return math.erfc(-x / math.sqrt(2)) / 2
