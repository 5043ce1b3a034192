"""What a plan may claim by what was proved of another one: of a relaxation, or of the plan before."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import takewhile

from planner.emergence import Forecast
from planner.season.plan.plan_record import Level, Plan

_WIDER = ("smallest_gap",)  # levels of which more is better
_OF_WHO_MOVES = ("elbow_room", "length", "carrying")  # proved for those who move under the one plan only


def no_better_than(levels: Iterable[Level], ideal: Iterable[Level]) -> list[Level]:
    """The levels bounded by those of a relaxation: a plan that was asked for less, so can only be better.

    Such a bound holds as long as all levels before it were reached in full; those after the first that was
    not are bounded by what no plan can beat. So are levels that are solved once it is fixed who moves. Of the
    moves that were to be kept fewer are left, so nothing is known from there on where one had to be changed.
    """
    all_kept = takewhile(lambda level: level.name != "stability" or not level.value, ideal)
    known = {level.name: level for level in all_kept}
    found, reached = [], True
    for level in levels:
        best = None if level.name in _OF_WHO_MOVES else known.get(level.name)
        bound = best.bound if best and reached else None if level.name in _WIDER else 0
        reached = reached and best is not None and level.value == best.value
        found.append(Level(name=level.name, value=level.value, bound=bound, proved=level.value == bound))
    return found


def as_proved_before(plan: Plan, before: Plan | None, now: Mapping[str, Forecast]) -> Plan:
    """The plan, claiming what was proved of the plan before, where that is the same and nothing is new.

    Moves that are kept leave nothing to choose, so that the plan made again alone would prove more: the best
    of all that keep them. Told is what is proved of all, and no more than is proved again. ``now``: the
    forecasts for the plan; what was soft, or may be darkening since, is new.
    """
    if before is None or not _same(plan, before) or any(_new_stage(f, plan, before) for f in now.values()):
        return plan
    proof = [level for level in plan.proof if level.name != "stability" or _has_stability(before)]
    if [(x.name, x.value) for x in proof] != [(x.name, x.value) for x in before.proof]:
        return plan
    return replace(plan, proof=tuple(map(_weaker, proof, before.proof)))


def _same(plan: Plan, before: Plan) -> bool:
    """Whether both have everybody, now and on later evenings, in the same places, by the same files."""
    parts = ("hangs", "gap_days", "settings", "inputs", "clashes", "waiting", "stuck")
    later, later_before = (
        [(one.who, one.place, one.spot) for one in (*each.kept, *each.hoped)] for each in (plan, before)
    )
    put_off, put_off_before = ([one.pupa for one in each.waits] for each in (plan, before))
    same = all(getattr(plan, part) == getattr(before, part) for part in parts)
    return same and later == later_before and put_off == put_off_before


def _new_stage(forecast: Forecast, plan: Plan, before: Plan) -> bool:
    """Whether a pupa became firm or may be darkening since the plan before."""
    changes = (moment for moment in (forecast.firm_from, forecast.dark_from) if moment)
    return any((moment <= plan.on) != (moment <= before.on) for moment in changes)


def _has_stability(plan: Plan) -> bool:
    return any(level.name == "stability" for level in plan.proof)


def _weaker(one: Level, other: Level) -> Level:
    """The level with the bound of the two that claims less."""
    worst = max if one.name in _WIDER else min
    bounds = [math.inf if x.bound is None else x.bound for x in (one, other)]
    bound = None if math.isinf(most := worst(bounds)) else most
    return replace(one, bound=bound, proved=one.value == bound)
