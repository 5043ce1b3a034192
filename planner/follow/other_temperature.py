"""Who is due on another day once a plan has moved it to another temperature, and who clashes by that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.emergence import forecasts
from planner.emergence.stays import stay_of
from planner.season.plan.plan_record import Plan
from planner.season.pupae import Formed, Pupa
from planner.season.reading.told_dates import day_month
from planner.season.reading.when import When
from planner.season.season import Season
from planner.verify.case import Case

MOST = 4  # pupae, and pairs of them, that are told one by one


def due_after_moves(season: Season, plan: Plan) -> str:
    """Whose day of emergence changes by their moves, and which neighbours clash by that; empty where none.

    A plan is made with the dates of where each hangs now: where it hangs afterwards is not known before. So
    its neighbours are looked at once more, with the dates of where they will hang (docs/model.md).
    """
    if not season.temperature_places:
        return ""
    to = {hang.pupa: hang.place for hang in plan.hangs if hang.from_place}
    moved = {name: _moved(season.pupa[name], place, plan) for name, place in to.items()}
    moved = {n: one for n, one in moved.items() if stay_of(season, one) != stay_of(season, season.pupa[n])}
    if not moved:
        return ""
    after = replace(season, pupae=tuple(moved.get(one.id, one) for one in season.pupae))
    now, then = forecasts(season, plan.on), forecasts(after, plan.on)
    found = []
    for name in moved:
        a, b = now[name].due, then[name].due
        if a and (b is None or a.day != b.day):
            other = f"is due {day_month(b.day)}, not {day_month(a.day)}" if b else "has no date: too cold"
            found.append(f"{name} {other}")
    planned, there = Case(season, plan).clashes, Case(after, plan).clashes
    known = planned.keys() | {frozenset((one.a, one.b)) for one in plan.waiting}
    pairs = [f"{one.a} and {one.b}" for key, one in there.items() if key not in known]
    parted = [f"{one.a} and {one.b}" for key, one in planned.items() if key not in there]
    return _told(found, pairs, parted) if found or pairs or parted else ""


def _moved(pupa: Pupa, place: str, plan: Plan) -> Pupa:
    formed = pupa.formed or Formed(pupa.place)
    return replace(pupa, place=place, hung=When(plan.on.date(), plan.on.time()), formed=formed)


def _told(found: Sequence[str], pairs: Sequence[str], parted: Sequence[str]) -> str:
    what = f"Hung there now, {_some(found)}" if found else "Hung there now, their hours change"
    clash = f"Then these neighbours clash, too: {_some(pairs)}" if pairs else "No other neighbours clash then"
    fewer = f" These clash no longer: {_some(parted)}." if parted else ""
    again = "plan again once they are moved" + (", with --rehang to part these" if pairs else "")
    return f"where they go it is warmer or colder. {what}. {clash}.{fewer} {_DATES}: {again}"


_DATES = "The plan and its tags have the dates of where they hang now"


def _some(each: Sequence[str]) -> str:
    return ", ".join(each[:MOST]) + (f" and {len(each) - MOST} more" if len(each) > MOST else "")
