"""The number of spots needed on each day to come, as pupae emerge from theirs and others arrive."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

import numpy as np

from planner.emergence import Emergence, arrivals, emergences
from planner.emergence.clock import EPOCH
from planner.emergence.conditional import WEIGHT
from planner.emergence.degree_days import Floats
from planner.emergence.normal import normal_cdf
from planner.follow.prospects import Prospect, hung_at, prospects
from planner.rack import spots
from planner.rack.spots import spots_between
from planner.season.places import Lid, Line
from planner.season.plan.plan_record import Plan
from planner.season.season import Season

SURE = 0.9  # chance with which ``needed_most`` spots are enough


@dataclass(frozen=True)
class RoomOnDay:
    """Spots needed on one day, with the pupae that emerge and arrive on it.

    A pupa needs its spot on the day of its emergence too, for its wings.

    Attributes
    ----------
    emerging
        Expected number that emerge.
    arriving
        Number that become firm and are to be hung.
    needed
        Expected number of spots needed.
    needed_most
        The number that is enough with a chance of `SURE`.
    spots
        Number of usable spots on lines and boards. Where clips slide: those that may well hang there still,
        and as many as fit between them.
    """

    day: date
    emerging: float
    arriving: int
    needed: float
    needed_most: int
    spots: int

    @property
    def free(self) -> float:
        """Expected number of spots that are not needed; below 0 where too few are there."""
        return self.spots - self.needed

    @property
    def free_least(self) -> int:
        """The number that is not needed with a chance of `SURE`; below 0 where too few are there."""
        return self.spots - self.needed_most


@dataclass(frozen=True)
class Room:
    """The outlook for some days: spots there are, and spots needed.

    Attributes
    ----------
    days
        One entry a day, from today on.
    counted
        Which pupae are counted as needing a spot, in words.
    """

    days: tuple[RoomOnDay, ...]
    counted: str

    @property
    def spots(self) -> int:
        """Number of usable spots on the first day."""
        return self.days[0].spots

    @cached_property
    def runs_out(self) -> date | None:
        """The first day on which the expected number of spots needed exceeds those there are, or None."""
        return next((d.day for d in self.days if d.free < -1e-9), None)

    @cached_property
    def may_run_out(self) -> date | None:
        """The first day on which ``needed_most`` exceeds the spots there are, or None."""
        return next((d.day for d in self.days if d.free_least < 0), None)


@dataclass(frozen=True)
class _Group:
    """Pupae of one species with the same distribution of emergence.

    Attributes
    ----------
    since
        The day from which they need spots.
    """

    species: str
    number: int
    emergence: Emergence | None
    since: date

    def needed(self, days: Sequence[date]) -> Floats:
        """The expected number of spots that they need, for each day."""
        return np.asarray(
            self.number * np.where(np.array(days) >= self.since, _hanging(self.emergence, days), 0.0)
        )


def room(
    season: Season, now: datetime, plan: Plan | None, number: int, since: datetime | None = None
) -> Room:
    """The outlook for ``number`` days from today on.

    Parameters
    ----------
    plan
        One that the verifier has passed. None: the pupae that hang, and all on lids to be cleared, need a
        spot.
    since
        The moment at which none had emerged; None: ``now``.

    Raises
    ------
    ValueError
        A species has no profile.
    FaultyFiles
        The temperatures cannot be read.
    """
    days = [now.date() + timedelta(days=i) for i in range(number)]
    present = prospects(season, now, days, since)
    where, counted = _where(season, plan)
    needing = _needing(season, where)
    coming = list(_arrivals(season, now.date()))
    still = _still_hanging(season, [p for p in present if p.pupa.id in needing], since or now)
    alike = Counter((p.pupa.species, still[p.pupa.id]) for p in present if p.pupa.id in needing)
    groups = [_Group(species, number, one, days[0]) for (species, one), number in alike.items()]
    groups += coming
    emerging = [sum(p.chances[d] for p in present) for d in days]
    for group in coming:
        chances = group.emergence.chances(days) if group.emergence else {}
        emerging = [e + group.number * chances.get(d, 0.0) for e, d in zip(emerging, days, strict=True)]
    mean = sum((g.needed(days) for g in groups), np.zeros(len(days)))
    by_species = [
        _most_needed([g for g in groups if g.species == name], days)
        for name in dict.fromkeys(g.species for g in groups)
    ]
    # Found for each species alone and added: that is more than is needed for all together.
    most = [max(sum(each), round(m)) for *each, m in zip(*by_species, mean.tolist(), strict=True)]
    arriving = [sum(g.number for g in coming if g.since == d) for d in days]
    there = _spots(season, where, still, days)
    return Room(tuple(map(RoomOnDay, days, emerging, arriving, mean.tolist(), most, there)), counted)


def _spots(
    season: Season,
    where: Mapping[str, tuple[str, str]],
    still: Mapping[str, Emergence | None],
    days: Sequence[date],
) -> list[int]:
    """The number of usable spots on each day; ``where``: place and spot by id, ``still``: who needs one."""
    marks = spots(season)
    fixed = sum(not s.unusable for p in season.places if not p.slides for s in marks[p.name])
    found = [fixed] * len(days)
    for line in season.places:
        if not isinstance(line, Line) or not line.slides:
            continue
        here = {name: at for name in still if (at := line.point(where[name][1], season.cm_per_unit))
                and where[name][0] == line.name}  # fmt: skip
        # Those of which the same is known share one distribution.
        may = {one: _hanging(one, days) > 1 - SURE for one in {still[name] for name in here}}
        for n in range(len(days)):
            hung = [x for name, (x, _) in here.items() if may[still[name]][n]]
            between = spots_between(line, season, hung)
            found[n] += len(hung) + sum(not s.unusable for s in between)
    return found


def _still_hanging(
    season: Season, present: Sequence[Prospect], since: datetime
) -> dict[str, Emergence | None]:
    """The distribution of each one's emergence by id, given that it had not emerged at ``since``.

    Those of which the same is known share one. None: no date.
    """
    whole = emergences(season, [p.pupa for p in present])
    given: dict[int, Emergence] = {}
    found: dict[str, Emergence | None] = {}
    for p in present:
        one = whole[p.pupa.id] if p.emergence else None
        if one is not None and id(one) not in given:
            given[id(one)] = one.not_before(hung_at(p.pupa, since))
        found[p.pupa.id] = None if one is None else given[id(one)]
    return found


def _where(season: Season, plan: Plan | None) -> tuple[dict[str, tuple[str, str]], str]:
    """Place and spot of each pupa by id, and in words which of them need one of the usable spots."""
    clear = _to_clear(season)
    if plan is not None:
        where = {h.pupa: (h.place, h.spot) for h in plan.hangs}
        how = "who hangs there by the plan, moves to come included"
        if any(place in clear for place, _ in where.values()):
            how += ", and who stays for now on a lid to be cleared"
    else:
        where = {p.id: (p.place, p.spot or "") for p in season.pupae}
        how = (
            "who hangs there by the record, and who is on a lid to be cleared" if clear else "who hangs there"
        )
    return where, how


def _to_clear(season: Season) -> set[str]:
    """Names of the lids to be cleared."""
    return {p.name for p in season.places if isinstance(p, Lid) and p.clear}


def _needing(season: Season, where: Mapping[str, tuple[str, str]]) -> set[str]:
    """Ids of the pupae that need one of the usable spots."""
    usable = {(s.place, s.tag) for found in spots(season).values() for s in found if not s.unusable}
    # Each pupa on a lid to be cleared must leave it and then needs a spot, whatever keeps it there now.
    lines = {place for place, _ in usable} | _to_clear(season)
    boards = {p.name for p in season.places if p.kind == "board"}
    return {
        pupa for pupa, (place, spot) in where.items()
        if place in lines and (place not in boards or (place, spot) in usable)
    }  # fmt: skip


def _arrivals(season: Season, today: date) -> Iterator[_Group]:
    """The pupae expected from today on, in groups: each needs a spot from when it is firm."""
    coming = arrivals(season, today)
    found = emergences(season, [one.pupa for one in coming])
    for one in coming:
        yield _Group(one.pupa.species, one.count, found[one.pupa.id], one.firm.date())


def _most_needed(groups: Sequence[_Group], days: Sequence[date]) -> list[int]:
    """The number of spots that is enough on each day with a chance of `SURE`, for pupae of one species.

    Given the error that the forecasts have in common, each pupa hangs or not independently, so their number
    is nearly normal. The values of that error are weighted by how well they agree with which pupae have not
    emerged yet. The error of one pupation day is taken to be common to all days as well, which errs towards
    more spots.
    """
    shape = (len(WEIGHT), len(days))
    mean, variance, weight = np.zeros(shape), np.zeros(shape), np.log(WEIGHT)
    for group in groups:
        one = group.emergence
        hanging = np.ones(shape)
        if one is not None:
            hanging = _still(one, one.near, days)
            weight = weight + group.number * np.log(one.near.sum(axis=1) + one.stray)
        hanging = np.where(np.array(days) >= group.since, hanging, 0.0)
        mean += group.number * hanging
        variance += group.number * hanging * (1 - hanging)
    weight = np.exp(weight - weight.max())
    upto = np.arange(sum(g.number for g in groups) + 1) + 0.5
    found = []
    for m, v in zip(mean.T, variance.T, strict=True):
        enough = weight @ normal_cdf((upto - m[:, None]) / (np.sqrt(v)[:, None] + 1e-9)) / weight.sum()
        found.append(int(np.argmax(enough >= SURE)))
    return found


def _hanging(one: Emergence | None, days: Sequence[date]) -> Floats:
    """The chance that a pupa still hangs at the beginning of each day; 1 where no date is known."""
    return np.ones(len(days)) if one is None else _still(one, WEIGHT @ one.apart, days)[0]


def _still(one: Emergence, given: Floats, days: Sequence[date]) -> Floats:
    """The chance that a pupa still hangs at the beginning of each day, one row for each row of ``given``.

    Parameters
    ----------
    given
        Chances of emerging in each hour from the distribution's first day on, not normalised.
    """
    given = np.atleast_2d(given)
    gone = np.pad(np.cumsum(given, axis=1), ((0, 0), (1, 0)))
    hours = [((day - EPOCH.date()).days - one.first) * 24 for day in days]
    at = gone[:, np.clip(hours, 0, given.shape[1])]
    return np.asarray(1 - at / (gone[:, -1:] + one.stray))
