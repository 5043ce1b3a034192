"""Steps of a plan whose time has passed, and the clashes that remain because of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from planner.follow.harmful_steps import with_followers
from planner.rack import home_of
from planner.season.plan.plan_record import Plan, Stuck, TooClose
from planner.season.reading.told_dates import part_of_day
from planner.season.season import Season
from planner.verify import clashes


def too_late(plan: Plan, now: datetime) -> list[str]:
    """Ids of the pupae that a plan would still move, though the time for their step has passed."""
    return list(dict.fromkeys(m.pupa for m in plan.moves if m.not_after <= now))


def clash_for_good(season: Season, rest: Plan, now: datetime) -> list[TooClose]:
    """The pairs that clash because a step can no longer be done, and that ``rest`` does not list.

    Parameters
    ----------
    rest
        What is left of the plan.
    """
    return list(without_late(season, rest, now).clashes[len(rest.clashes) :])


def without_late(season: Season, rest: Plan, now: datetime) -> Plan:
    """What is left of a plan without the steps whose time has passed.

    Pupae that may be darkening stay, as do those that should go to their spots. They are added under
    ``stuck`` with the reason, and the pairs that clash because of it under ``clashes``.
    """
    late = {m.pupa: m.not_after for m in rest.moves if m.not_after <= now and _present(season, m.pupa)}
    if not late:
        return rest
    why = {name: f"may be darkening since the {part_of_day(at)}: do not move it" for name, at in late.items()}
    why |= with_followers(rest, why)
    at = {name: home_of(season, name) for name in why}
    stay = tuple(
        replace(h, place=s.place, spot="?" if s.at is None else s.tag, x=s.x, y=s.y, from_place=None)
        if (s := at.get(h.pupa))
        else h
        for h in rest.hangs
    )
    found = replace(rest, hangs=stay, moves=tuple(m for m in rest.moves if m.pupa not in why))
    told = {frozenset((c.a, c.b)) for c in rest.clashes}
    more = [
        replace(c, why="") for c in clashes(season, found)
        if {c.a, c.b} & why.keys() and frozenset((c.a, c.b)) not in told
    ]  # fmt: skip
    stuck = (*rest.stuck, *(Stuck(pupa=name, why=text) for name, text in sorted(why.items())))
    return replace(found, clashes=(*rest.clashes, *more), stuck=stuck)


def _present(season: Season, name: str) -> bool:
    return name in season.pupa and season.pupa[name].present
