"""Who is due on another day once a plan has moved it to another temperature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.emergence import predict_all
from planner.emergence.stays import stay_of
from planner.season.plan.plan_record import Plan
from planner.season.pupae import Formed, Pupa
from planner.season.reading.told_dates import day_month
from planner.season.reading.when import When
from planner.season.season import Season

MOST = 4  # pupae that are told one by one


def due_after_moves(season: Season, plan: Plan) -> str:
    """A sentence on those whose day of emergence changes by their moves; empty where none does.

    A plan is made with the dates of where each hangs now: where it hangs afterwards is not known before.
    """
    if not season.temperature_places:
        return ""
    to = [(season.pupa[hang.pupa], hang.place) for hang in plan.hangs if hang.from_place]
    moved = [(one, _moved(one, place, plan)) for one, place in to]
    moved = [(one, there) for one, there in moved if stay_of(season, one) != stay_of(season, there)]
    now, then = (predict_all(season, [pair[i] for pair in moved]) for i in (0, 1))
    found = [
        f"{pair[0].id} is due {day_month(b.day)}, not {day_month(a.day)}"
        for pair, a, b in zip(moved, now, then, strict=True)
        if a and b and a.day != b.day
    ]
    return _told(found) if found else ""


def _moved(pupa: Pupa, place: str, plan: Plan) -> Pupa:
    formed = pupa.formed or Formed(pupa.place)
    return replace(pupa, place=place, hung=When(plan.on.date(), plan.on.time()), formed=formed)


def _told(found: Sequence[str]) -> str:
    more = f" and {len(found) - MOST} more" if len(found) > MOST else ""
    return (
        f"it is warmer or colder where they go: hung there now, {', '.join(found[:MOST])}{more}. The plan "
        "has the dates of where they hang: plan again once they are moved"
    )
