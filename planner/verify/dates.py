"""The verifier's own dates: degree-days added up in short steps, as one would with paper and patience.

All other rules take the dates forecast by `planner.emergence`, which the planner goes by as well: a mistake
there would stand in both. So each plain case is reckoned here once more, from the temperatures and the
species' figures alone, in another way. A case is plain when the temperature is stated, or measured by daily
extremes without a gap since it pupated; when the pupa has not had its requirement yet when the plan is made,
darkening was not seen, and even a slow one would emerge in 100 days. Of all other cases nothing is said.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import accumulate
from typing import TYPE_CHECKING

from planner.emergence import Profile, profile_of
from planner.emergence.temperatures import measured
from planner.season.season import Season
from planner.verify.case import Case, Findings

if TYPE_CHECKING:
    from planner.emergence.readings import Readings

# By how much the two reckonings may differ. Sums in steps of five minutes are within minutes of the closed
# form, for what is due soon; and an hour may be missing, or come twice, where clocks are changed.
NEAR = timedelta(hours=2)
STEPS = 288  # a day
LATEST = 100.0  # days within which a slow one must emerge to be a plain case
SLOW = 1.5  # times the requirement
RECENT = 7  # days measured last, which stand for those to come where no temperature is stated
START = datetime(2000, 1, 1)
WAVE = tuple(math.sin(2 * math.pi * (step + 0.5) / STEPS) for step in range(STEPS))


def dates_reckoned(case: Case) -> Findings:
    """The due days, and from when to when each is moved, are those reckoned here, within two hours."""
    due = dict(Reckoned(case.season, case.plan.on).dues())
    for hang in case.plan.hangs:
        if (when := due.get(hang.pupa)) is None:
            continue
        days = sorted({(when - NEAR).date(), (when + NEAR).date()})
        if hang.due not in days:
            said = f"due {hang.due}" if hang.due else "due on no day"
            allowed = " or ".join(map(str, days))
            yield (hang.pupa,), f"{hang.pupa} is {said} in the plan: allowed is {allowed}, by its degree-days"
    for move in case.plan.moves:
        pupa = case.season.pupa.get(move.pupa)
        if pupa is None or pupa.pupated is None or (when := due.get(move.pupa)) is None:
            continue
        profile = profile_of(case.season, pupa.species)
        firm = pupa.pupated.latest + timedelta(hours=profile.firm_after)
        dark = when - timedelta(hours=profile.darkens_before)
        step = f"step {move.step}, {move.pupa}"
        if move.not_before < firm - NEAR:
            told = f"allowed is from {_time(firm)}, by the hours since it pupated"
            yield (move.pupa,), f"{step}: not before {_time(move.not_before)}: {told}"
        if move.not_after > dark + NEAR:
            told = f"allowed is until {_time(dark)}, by its degree-days"
            yield (move.pupa,), f"{step}: not after {_time(move.not_after)}: {told}"


@dataclass(frozen=True)
class Reckoned:
    """When each pupa of a season has had its degree-days, as far as that is plain on a day."""

    season: Season
    on: datetime

    @cached_property
    def readings(self) -> Readings | None:
        """What was measured; None where a temperature is stated for all time."""
        return measured(self.season)

    def dues(self) -> Iterator[tuple[str, datetime]]:
        """Ids of the plain cases, and when half of such pupae have emerged."""
        known: dict[tuple[str, datetime], datetime | None] = {}
        sums: dict[str, Sums | None] = {}
        for pupa in self.season.pupae:
            if pupa.pupated is None or not pupa.present or pupa.darkening is not None:
                continue
            if pupa.species not in sums:
                sums[pupa.species] = self._sums(profile_of(self.season, pupa.species))
            key = pupa.species, pupa.pupated.middle
            if key not in known:
                one = sums[pupa.species]
                known[key] = None if one is None else one.reached(pupa.pupated.middle)
            if (when := known[key]) is not None and when > self.on:
                yield pupa.id, when

    def _sums(self, profile: Profile) -> Sums | None:
        """Degree-days of each day of a species; None where it is no plain case."""
        readings, constant = self.readings, self.season.constant
        stated = None if constant is None else _of_degrees(constant, profile)
        if readings is None:
            return None if stated is None else Sums(profile, START, (), stated)
        days = [START + timedelta(days=float(day)) for day in readings.start]
        if not readings.daily or not days or days[-1] - days[0] != timedelta(days=len(days) - 1):
            return None
        extremes = zip(readings.low.tolist(), readings.high.tolist(), strict=True)
        each = tuple(_of_day(low, high, profile) for low, high in extremes)
        rate = sum(each[-RECENT:]) / len(each[-RECENT:]) if stated is None else stated
        return Sums(profile, days[0], each, rate)


@dataclass(frozen=True)
class Sums:
    """Degree-days of the days from ``first`` on, one by one, and of each day after them (``rate``)."""

    profile: Profile
    first: datetime
    each: tuple[float, ...]
    rate: float

    @cached_property
    def total(self) -> list[float]:
        """By the beginning of each day, and after the last."""
        return list(accumulate(self.each, initial=0.0))

    def reached(self, pupated: datetime) -> datetime | None:
        """When one that pupated then has had its requirement; None where that is no plain case."""
        start = (pupated - self.first) / timedelta(days=1)
        if self.rate <= 0 or (self.each and start < 0):
            return None
        before, need = self._by(start), self.profile.requirement
        if self._when(before + SLOW * need) - start > LATEST:
            return None
        return self.first + timedelta(days=self._when(before + need))

    def _by(self, day: float) -> float:
        """Degree-days by a moment, which comes evenly over each day."""
        n = min(max(math.floor(day), 0), len(self.each))
        rate = self.each[n] if n < len(self.each) else self.rate
        return self.total[n] + (day - n) * rate

    def _when(self, total: float) -> float:
        n = bisect_left(self.total, total) - 1
        if n < len(self.each):
            return n + (total - self.total[n]) / self.each[n]
        return len(self.each) + (total - self.total[-1]) / self.rate


def _of_degrees(celsius: float, profile: Profile) -> float:
    """Degree-days of a day that is all the time so warm; above ``upper`` development goes on as at it."""
    return max(0.0, min(celsius, profile.upper) - profile.lower)


def _of_day(low: float, high: float, profile: Profile) -> float:
    """Degree-days of a day that goes from its lowest to its highest temperature and back, as a wave."""
    middle, swing = (low + high) / 2, (high - low) / 2
    return sum(_of_degrees(middle + swing * wave, profile) for wave in WAVE) / STEPS


def _time(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"
