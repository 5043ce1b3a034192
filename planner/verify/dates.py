"""An independent computation of due dates: degree-days summed in short time steps.

All other rules take the dates forecast by `planner.emergence`, which the planner uses as well, so a mistake
there would be in both. Here each plain case is computed again, from the temperatures and the species' figures
alone, by another method: numerical summation instead of the closed form.

A case is plain when all of these hold; of other cases nothing is said:

- the temperature is stated, or measured as daily extremes without a gap since the pupa pupated;
- the pupa has not reached its requirement when the plan is made, and no darkening was seen;
- a pupa that needs `SLOW` times the requirement would still emerge within `LATEST` days.
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
from planner.emergence.weather_of import weather_of
from planner.season.pupae import Pupa
from planner.season.reading.temperature import Temperature
from planner.season.season import Season
from planner.verify.case import Case, Findings

if TYPE_CHECKING:
    from planner.emergence.readings import Readings

# By how much the two computations may differ. Sums in steps of five minutes are within minutes of the closed
# form for pupae due soon, and clocks that are put forward or back shift a time of day by an hour.
NEAR = timedelta(hours=2)
STEPS = 288  # in a day: one for each five minutes
LATEST = 100.0  # days within which a slow pupa must emerge to be a plain case
SLOW = 1.5  # what a slow pupa needs, in multiples of the requirement
TO_COME = 200  # days after the readings that are reckoned one by one; plain cases are over by then
START = datetime(2000, 1, 1)
WAVE = tuple(math.sin(2 * math.pi * (step + 0.5) / STEPS) for step in range(STEPS))


def dates_reckoned(case: Case) -> Findings:
    """Due days, and the times between which each pupa is moved, agree with this computation within two hours.

    All other rules rely on the forecasts: a wrong one would have a pupa moved while it is soft or darkening,
    or hung beside one that emerges on the same day.
    """
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
    """Due dates of the plain cases of a season, as of a moment.

    Attributes
    ----------
    on
        When the plan was made: a pupa that has had its requirement by then is no plain case.
    """

    season: Season
    on: datetime

    @cached_property
    def readings(self) -> Readings | None:
        """The temperatures measured; None where there are none."""
        return measured(self.season)

    def dues(self) -> Iterator[tuple[str, datetime]]:
        """Id and due of each plain case: the time at which half of such pupae have emerged.

        Raises
        ------
        ValueError
            A species has no profile.
        FaultyFiles
            The temperatures cannot be read.
        """
        for pupa in self.season.pupae:
            if pupa.pupated is None or not pupa.present or pupa.darkening is not None:
                continue
            if (when := self._due(pupa, pupa.pupated.middle)) is not None and when > self.on:
                yield pupa.id, when

    def _due(self, pupa: Pupa, pupated: datetime) -> datetime | None:
        """When half of such pupae have emerged; None where it is no plain case.

        One that was moved to another temperature gathers the rest there.
        """
        here, moved = self._sums_at(pupa.species, pupa.place), pupa.hung.middle if pupa.hung else pupated
        if here is None or pupa.formed is None or moved <= pupated:
            return None if here is None else here.reached(pupated)
        if self._own(pupa.formed.lid) == self._own(pupa.place):
            return here.reached(pupated)
        there = self._sums_at(pupa.species, pupa.formed.lid)
        had = None if there is None else there.between(pupated, moved)
        return None if had is None else here.reached(moved, had)

    def _own(self, place: str) -> Temperature | None:
        """The temperature that a place states; a lid that is no more has none."""
        return self.season.place[place].temperature if place in self.season.place else None

    def _sums_at(self, species: str, place: str) -> Sums | None:
        """The sums of a species at a place."""
        where = place if self._own(place) else ""
        if (species, where) not in self._known:
            there = Reckoned(self.season.at(where), self.on)
            self._known[species, where] = there._sums(profile_of(self.season, species))
        return self._known[species, where]

    @cached_property
    def _known(self) -> dict[tuple[str, str], Sums | None]:
        return {}

    def _sums(self, profile: Profile) -> Sums | None:
        """The degree-days of each day for one species; None where the temperatures make no plain case."""
        readings, constant = self.readings, self.season.constant
        stated = None if constant is None else _of_degrees(constant, profile)
        if readings is None:
            return None if stated is None else Sums(profile, START, (), stated)
        days = [START + timedelta(days=float(day)) for day in readings.start]
        if not readings.daily or not days or days[-1] - days[0] != timedelta(days=len(days) - 1):
            return None
        extremes = zip(readings.low.tolist(), readings.high.tolist(), strict=True)
        each = [_of_day(low, high, profile) for low, high in extremes]
        if stated is None and (weather := weather_of(self.season)) is not None:
            to_come = zip(weather.mean[:TO_COME].tolist(), weather.half.tolist(), strict=False)
            each += [_of_day(mean - half, mean + half, profile) for mean, half in to_come]
        return Sums(profile, days[0], tuple(each), each[-1] if stated is None else stated)


@dataclass(frozen=True)
class Sums:
    """Cumulative degree-days of one species, as a function of time.

    Attributes
    ----------
    first
        The beginning of the first day measured.
    each
        Degree-days of each day from ``first`` on: those measured, and those expected after them.
    rate
        Degree-days of each day after those.
    """

    profile: Profile
    first: datetime
    each: tuple[float, ...]
    rate: float

    @cached_property
    def total(self) -> list[float]:
        """Cumulative degree-days at the beginning of each day measured, and after the last."""
        return list(accumulate(self.each, initial=0.0))

    def between(self, first: datetime, last: datetime) -> float | None:
        """Degree-days gathered from one moment to another; None before anything is measured."""
        start, end = ((moment - self.first) / timedelta(days=1) for moment in (first, last))
        return None if self.each and start < 0 else self._by(end) - self._by(start)

    def reached(self, pupated: datetime, had: float = 0.0) -> datetime | None:
        """When a pupa that pupated at a moment has had its requirement; None where that is no plain case.

        Or one that had gathered so much by then.
        """
        start = (pupated - self.first) / timedelta(days=1)
        if self.rate <= 0 or (self.each and start < 0) or had >= self.profile.requirement:
            return None
        before, need = self._by(start), self.profile.requirement - had
        if self._when(before + SLOW * need) - start > LATEST:
            return None
        return self.first + timedelta(days=self._when(before + need))

    def _by(self, day: float) -> float:
        """Cumulative degree-days at a moment (days since ``first``), linear within each day."""
        n = min(max(math.floor(day), 0), len(self.each))
        rate = self.each[n] if n < len(self.each) else self.rate
        return self.total[n] + (day - n) * rate

    def _when(self, total: float) -> float:
        """The moment (days since ``first``) at which the sum reaches a total: the inverse of `_by`."""
        n = bisect_left(self.total, total) - 1
        if n < len(self.each):
            return n + (total - self.total[n]) / self.each[n]
        return len(self.each) + (total - self.total[-1]) / self.rate


def _of_degrees(celsius: float, profile: Profile) -> float:
    """Degree-days of a day at a constant temperature (°C).

    None below the lower threshold; above the upper one development is as fast as at it, or slows.
    """
    beyond = max(0.0, celsius - profile.upper)
    return max(0.0, min(celsius, profile.upper) - profile.lower - profile.fall * beyond)


def _of_day(low: float, high: float, profile: Profile) -> float:
    """Degree-days of a day whose temperature is a sine wave between its daily extremes (°C).

    The wave is summed in `STEPS` steps, where the forecasts use the closed form.
    """
    middle, swing = (low + high) / 2, (high - low) / 2
    return sum(_of_degrees(middle + swing * wave, profile) for wave in WAVE) / STEPS


def _time(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"
