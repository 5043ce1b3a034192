"""Arrivals: pupae expected, and soft ones that will need a spot when they are firm."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

import networkx as nx

from planner.emergence import Arrival, Forecast, arrivals, emergences, predict_all
from planner.emergence import gap as due_gap
from planner.engine.model.instance import TENTHS, Coming
from planner.rack.spots import home_of
from planner.season import Lid, Pupa, Season

LEAST = 3  # tenths: a spot less likely to be free than that is not counted on at all
DAY = timedelta(days=1)
SURE = 0.9  # with this chance a pupa has emerged, and dried its wings, by the day its spot is given away


@dataclass(frozen=True)
class DayScale:
    """A scale on which moments are days after a first one."""

    first: datetime

    def days(self, moment: datetime) -> float:
        """The moment in days, rounded so that equal dates compare equal."""
        return round((moment - self.first).total_seconds() / 86400, 6)

    def moment(self, days: float) -> datetime:
        """The moment of a number of days, to the minute."""
        found = self.first + timedelta(minutes=round(days * 1440))
        return found.replace(second=0, microsecond=0)


@dataclass(frozen=True)
class LookAhead:
    """A look ahead: the day by which each pupa's spot is surely free, and those to come, each with its pupa.

    ``vacancy_chance``: (which pupa, which to come) -> chance in tenths that the spot is free when wanted.
    """

    vacated: tuple[float, ...] = ()
    coming: tuple[Coming, ...] = ()
    pupae: tuple[Pupa, ...] = ()
    vacancy_chance: dict[tuple[int, int], int] = field(default_factory=dict)

    def of_kinds(self, kinds: Sequence[int]) -> tuple[Coming, ...]:
        """Those to come, with their kinds where kinds matter."""
        if not kinds:
            return self.coming
        return tuple(replace(c, kind=k) for c, k in zip(self.coming, kinds, strict=True))


def look_ahead(
    season: Season,
    now: Mapping[str, Forecast],
    hung: Sequence[Pupa],
    graph: nx.Graph[Any],
    on: datetime,
    scale: DayScale,
    fixed: Collection[str],
    for_good: Collection[str],
    days: float,
    placed: Collection[str] = (),
) -> LookAhead:
    """The arrivals, when they need a spot, and when each pupa of today has left its own.

    Parameters
    ----------
    fixed
        Ids of those who stay.
    for_good
        Of them those whose spot is given to nobody after them, such as one on a lid.
    days
        Between neighbours' dues.
    placed
        Ids of those who have a spot for later already.

    Notes
    -----
    Of a soft one without a date it is not known for how long it needs a spot: none is reserved for it.
    """
    soft = _soft(season, now, hung, graph, fixed, days)
    those = [*(one for one in soft if one.name not in placed), *arrivals(season, on.date())]
    wanted = [(one, [next_visit(on, one.firm)]) for one in those]
    return reckoned(season, now, hung, wanted, on, scale, for_good)


def later_evenings(forecast: Forecast, first: datetime, last: datetime) -> list[datetime]:
    """The evenings from ``first`` to ``last`` on which a pupa can be moved, even if it darkens early."""
    due, dark = forecast.due, forecast.dark_from
    early = dark - (due.median - due.low) if due and dark else dark
    found = [first]
    while found[-1] + DAY <= last and (early is None or found[-1] + DAY < early):
        found.append(found[-1] + DAY)
    return found


def reckoned(
    season: Season,
    now: Mapping[str, Forecast],
    hung: Sequence[Pupa],
    wanted: Sequence[tuple[Arrival, Sequence[datetime]]],
    on: datetime,
    scale: DayScale,
    for_good: Collection[str],
) -> LookAhead:
    """The look ahead for arrivals, each with the moments at one of which it is to be hung."""
    if not wanted:
        return LookAhead()
    chances = emergences(season, [one.pupa for one, _ in wanted])
    today = emergences(season, hung, on)
    dues = predict_all(season, [one.pupa for one, _ in wanted])  # by the same rule as of those who hang
    coming, pupae, moments = [], [], []
    for (who, when), due in zip(wanted, dues, strict=True):
        if due is not None and (one := chances[who.pupa.id]) is not None:
            until = scale.days(one.dry_by(SURE))
            for moment in when:
                coming.append(
                    Coming(scale.days(due.median), scale.days(moment), until, who.count, name=who.name)
                )
                pupae.append(who.pupa)
                moments.append(moment)
    known: dict[int, tuple[float, list[int]]] = {}
    vacated: list[float] = []
    vacancy_chance: dict[tuple[int, int], int] = {}
    for i, pupa in enumerate(hung):
        one = today[pupa.id]
        if one is None or now[pupa.id].due is None:
            vacated.append(math.inf)  # it may hang there for ever
            continue
        if id(one) not in known:
            chances_by = [int(TENTHS * one.chance_dry_by(since) + 1e-9) for since in moments]
            known[id(one)] = scale.days(one.dry_by(SURE)), chances_by
        left, tenths = known[id(one)]
        vacated.append(math.inf if pupa.id in for_good else left)
        if pupa.id not in for_good:
            vacancy_chance |= {(i, k): chance for k, chance in enumerate(tenths) if chance >= LEAST}
    return LookAhead(tuple(vacated), tuple(coming), tuple(pupae), vacancy_chance)


def next_visit(on: datetime, firm: datetime) -> datetime:
    """The moment when one firm from ``firm`` on is hung: the keeper comes at the hour of ``on`` every day."""
    return firm + (on - firm) % DAY


def _soft(
    season: Season,
    now: Mapping[str, Forecast],
    hung: Sequence[Pupa],
    graph: nx.Graph[Any],
    fixed: Collection[str],
    days: float,
) -> Iterator[Arrival]:
    """Pupae too soft, or deferred, that must leave their lid: to clear it, or to part them."""
    soft = [
        p for p in hung
        if now[p.id].later and now[p.id].due and not p.stay and isinstance(season.place[p.place], Lid)
    ]  # fmt: skip
    lids = {p.place for p in soft}
    staying = {home_of(season, p.id): p for p in hung if p.place in lids and p.id in fixed}
    for pupa in soft:
        lid, home = season.place[pupa.place], home_of(season, pupa.id)
        near = [staying[node] for node in graph[home] if node in staying]
        if (isinstance(lid, Lid) and lid.clear) or _clashing(pupa, near, now, days):
            firm = now[pupa.id].firm_from
            assert firm is not None
            staying.pop(home)
            yield Arrival(pupa, firm, 1)


def _clashing(pupa: Pupa, others: Collection[Pupa], now: Mapping[str, Forecast], days: float) -> bool:
    due = now[pupa.id].due
    dues = [now[other.id].due for other in others]
    return any(due is None or d is None or due_gap(due, d) < days for d in dues)
