"""The verifier's rules about evenings to come: who of the record is hung where then, replayed one by one."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from planner.season.places import Lid
from planner.season.plan.plan_record import Kept
from planner.verify.case import Case, Findings
from planner.verify.geometry import beside, in_the_way, parted
from planner.verify.kept import MINUTE, SURE
from planner.verify.places import Point, point

DAY = timedelta(days=1)
LEAST = 0.3  # nobody is told to wait for a spot that is less likely to be free by then
ROUNDED = 0.011  # by which a chance may differ that is told in hundredths, rounded down


@dataclass(frozen=True)
class _There:
    """Somebody at a point from a moment on, and its median emergence; None where no date is known."""

    name: str
    at: Point
    since: datetime
    due: datetime | None


def later_can_be_moved(case: Case) -> Findings:
    """Who is to be hung on a later evening stays on a lid tonight, and can be moved then.

    It is firm by then, and not darkening. Its evening is at the hour of the plan, as the keeper comes at the
    same hour each day. The last evening on which it may be moved is told truly: after it nobody may touch it.
    A deferred pupa waits until its evening and no other.
    """
    if not case.plan.later:
        return
    tonight = {one.pupa.id: one for one in case.hung}  # of one that hangs twice the last
    for who, times in Counter(one.who for one in case.plan.later).items():
        if times > 1:
            yield (who,), f"{who} is to be hung later {times} times: allowed is once"
    for one in case.plan.later:
        hung, forecast = tonight.get(one.who), case.forecasts.get(one.who)
        said, ids = f"{one.who} is to be hung on {_time(one.since)}", (one.who,)
        if hung is None or forecast is None or not isinstance(hung.place, Lid) or not hung.stays:
            yield ids, f"{said}: allowed is that only of one that stays on a lid tonight"
            continue
        if not case.moved_later(one.who):
            yield ids, f"{said}: allowed is that only of one that is soft, or waits, and not recorded to stay"
        evenings = (one.since - case.plan.on) / DAY
        if evenings < 0.5 or abs(evenings - round(evenings)) * DAY > MINUTE:
            yield ids, f"{said}: allowed is an evening after the plan, at {case.plan.on:%H:%M}"
        if forecast.firm_from and one.since < forecast.firm_from - MINUTE:
            yield ids, f"{said}: allowed is from {_time(forecast.firm_from)}, when it is firm"
        if forecast.dark_from and one.since >= forecast.dark_from:
            yield ids, f"{said}: allowed is before {_time(forecast.dark_from)}, when it may be darkening"
        if (until := case.waits.get(one.who)) and abs(until - one.since) > MINUTE:
            yield ids, f"{said}: allowed is {_time(until)}, until which it waits"
        last = _last_evening(case.plan.on, forecast.dark_from)
        if one.latest != last:
            told, true = (_time(when) if when else "no evening" for when in (one.latest, last))
            yield ids, f"{said}, on {told} at the latest: allowed is {true}"


def _last_evening(on: datetime, dark: datetime | None) -> datetime | None:
    """The last evening before a pupa may be darkening, at the hour of the plan; None: nobody knows when."""
    if dark is None:
        return None
    return on + (math.ceil((dark - on) / DAY) - 1) * DAY


def later_keeps_rules(case: Case) -> Findings:
    """Evening by evening, each that is hung finds a free spot, with the chance told, and clashes with nobody.

    Those in the way have left by then: of pupae that hang tonight with the chance told, of which less than
    `LEAST` is none; of pupae hung on an evening between surely. Neighbours keep the separation demanded for
    as long as they hang, so until they emerge.
    """
    if not case.plan.later:
        return
    tonight = {one.pupa.id: one for one in case.hung}  # of one that hangs twice the last
    there = {
        name: _There(name, one.at, case.plan.on, _median(case, name))
        for name, one in tonight.items()
        if one.at is not None
    }
    evenings: defaultdict[datetime, list[Kept]] = defaultdict(list)
    for one in case.plan.later:
        evenings[one.since].append(one)
    for since in sorted(evenings):
        for one in evenings[since]:
            place = case.season.place.get(one.place)
            at = None if place is None else point(place, one.spot, case.season.cm_per_unit)
            if at is None:
                continue  # there is no such spot, as another rule says
            there.pop(one.who, None)  # it has left its lid
            yield from _free(case, one, at, there.values())
            yield from _apart(case, one, at, there.values())
            there[one.who] = _There(one.who, at, since, _median(case, one.who))


def _free(case: Case, one: Kept, at: Point, others: Iterable[_There]) -> Findings:
    """Whether a spot is free when it is needed, with the chance told."""
    chance, where = 1.0, f"{one.who} is to be hung on {one.place} at {one.spot} on {_time(one.since)}"
    for other in others:
        if not in_the_way(at, other.at):
            continue
        emergence = case.drying.get(other.name)
        if other.since > case.plan.on:
            if emergence is None or emergence.dry_by(SURE) > one.since + MINUTE:
                yield (
                    (one.who, other.name),
                    f"{where}, where {other.name} hangs by then: allowed is a free spot",
                )
        elif emergence is None:
            chance = 0.0
        else:
            chance = min(chance, emergence.chance_dry_by(one.since))
    if one.chance is not None and abs(one.chance - chance) > ROUNDED:
        yield (
            (one.who,),
            f"{where}, free with a chance of {one.chance:g}: allowed is {math.floor(100 * chance) / 100:g}",
        )
    if chance < LEAST:
        yield (one.who,), f"{where}, which is hardly free by then: allowed is a chance of {LEAST:g} or more"


def _apart(case: Case, one: Kept, at: Point, others: Iterable[_There]) -> Findings:
    """Whether one hung later keeps the separation demanded from all that hang beside it."""
    season, mine = case.season, _median(case, one.who)
    for other in others:
        if not beside(at, other.at, season.wing_reach, season.drop) or at.key == other.at.key:
            continue
        if parted(season, at, other.at) or (other.due is None and not case.undated(other.name)):
            continue
        near = mine is None or other.due is None or _days(mine, other.due) < case.plan.gap_days - 1e-3
        if near or case.too_likely(case.chances.get(one.who), case.chances.get(other.name)):
            told = (
                f"{case.with_due(one.who)} is to be hung on {one.place} at {one.spot} on {_time(one.since)}"
            )
            other_one = f"{told}, beside {case.with_due(other.name)}"
            yield (one.who, other.name), f"{other_one}: allowed is {case.wanted}"


def _median(case: Case, pupa: str) -> datetime | None:
    due = case.due(pupa)
    return due.median if due else None


def _days(a: datetime, b: datetime) -> float:
    return abs(a - b) / DAY


def _time(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"
