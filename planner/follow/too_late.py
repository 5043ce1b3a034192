"""Steps of a plan whose pupa may be darkening by now, and the clashes that remain because of them.

Whether it is too late for a step is decided here alone, by the dates as they are now. The times in the plan
do not tell: dates may have changed since, and a step may end earlier only because another one must.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from planner.emergence import Forecast
from planner.follow.harmful_steps import with_followers
from planner.follow.step_times import timed
from planner.rack import home_of
from planner.season.plan.plan_record import Plan, Stuck, TooClose
from planner.season.reading.told_dates import part_of_day
from planner.season.season import Season
from planner.verify import clashes


def too_late(plan: Plan, now: Mapping[str, Forecast]) -> list[str]:
    """Ids of the pupae that a plan would still move, but that may be darkening.

    Parameters
    ----------
    now
        Forecasts of the pupae present, by id, as of now.
    """
    dark = {name for name, forecast in now.items() if forecast.stage == "darkening"}
    return list(dict.fromkeys(m.pupa for m in plan.moves if m.pupa in dark))


def clash_for_good(season: Season, rest: Plan, now: Mapping[str, Forecast]) -> list[TooClose]:
    """The pairs that clash because a step can no longer be done, and that ``rest`` does not list.

    Parameters
    ----------
    rest
        What is left of the plan.
    now
        Forecasts of the pupae present, by id, as of now.
    """
    return list(without_late(season, rest, now).clashes[len(rest.clashes) :])


def without_late(season: Season, rest: Plan, now: Mapping[str, Forecast]) -> Plan:
    """What is left of a plan without the steps for which it is too late.

    Pupae that may be darkening stay, as do those that should go to their spots. They are added under
    ``stuck`` with the reason, and the pairs that clash because of it under ``clashes``. The other steps are
    no longer bound by theirs.

    Parameters
    ----------
    now
        Forecasts of the pupae present, by id, as of now.
    """
    late = too_late(rest, now)
    if not late:
        return rest
    why = {name: f"may be darkening{_since(now[name])}: do not move it" for name in late}
    why |= with_followers(rest, why)
    at = {name: home_of(season, name) for name in why}
    stay = tuple(
        replace(h, place=s.place, spot="?" if s.at is None else s.tag, x=s.x, y=s.y, from_place=None)
        if (s := at.get(h.pupa))
        else h
        for h in rest.hangs
    )
    moves = [m for m in rest.moves if m.pupa not in why]
    numbers = {m.step for m in moves}
    moves = [replace(m, after=tuple(n for n in m.after if n in numbers)) for m in moves]
    in_order = sorted(moves, key=lambda m: m.step)
    found = replace(rest, hangs=stay, moves=timed(in_order, now, rest.on))
    told = {frozenset((c.a, c.b)) for c in rest.clashes}
    more = [
        replace(c, why="") for c in clashes(season, found)
        if {c.a, c.b} & why.keys() and frozenset((c.a, c.b)) not in told
    ]  # fmt: skip
    stuck = (*rest.stuck, *(Stuck(pupa=name, why=text) for name, text in sorted(why.items())))
    return replace(found, clashes=(*rest.clashes, *more), stuck=stuck)


def _since(forecast: Forecast) -> str:
    return f" since the {part_of_day(forecast.dark_from)}" if forecast.dark_from else ""
