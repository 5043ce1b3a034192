"""From a season to its plan: what may move, where to, in which order of objectives, and what was proved."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from statistics import NormalDist, fmean
from typing import cast

from planner.emergence import Forecast, emergences, expected_together, forecasts
from planner.plan.carry import carrying_of
from planner.plan.instance import Instance, SpotOf
from planner.plan.moves import moves_of
from planner.plan.polish import carrying_level, widest_level
from planner.plan.settle import Settled, Worry, settle
from planner.plan.situation import Situation, situation
from planner.plan.solving import Clock, Effort
from planner.rack import Spot
from planner.season import Hang, Level, Plan, Season, TooClose


def make_plan(
    season: Season,
    on: datetime,
    *,
    gap: float | None = None,
    widest: bool = False,
    seconds: float = 60,
    seed: int = 0,
    workers: int | None = None,
    progress: Callable[[str], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Plan:
    """Plan where everybody hangs as of ``on``.

    Parameters
    ----------
    gap
        Days between neighbours' dues; None: the season's gap or risk.
    widest
        Make the smallest gap as wide as possible before touching as few as possible.
    seconds
        For all objectives together; comfort (widest gap after few touched, carrying) gets small shares.
    progress, stop
        Told what is being looked for; asked whether to end at once with the best so far.

    Notes
    -----
    Objectives in order, each fixed before the next: nobody left on a lid to be cleared; fewest clashes;
    those least likely to emerge together; fewest touched; widest smallest gap; least carrying, in order of
    date.
    """
    effort = Effort(Clock(seconds, stop), seed, workers, progress)
    risk = season.risk if gap is None else None
    days = 0.0 if risk is not None else season.gap_days if gap is None else gap
    now = forecasts(season, on)
    case = situation(season, now, risk)
    inst = case.instance
    settled = settle(inst, days, effort, None if risk is not None else _worry(now))
    spot_of, levels = settled.spot_of, list(settled.levels)
    if not case.movable:
        levels = [level for level in levels if level.name in ("clashes", "trouble")]
    elif settled.level("clashes").value == 0 and not any(x.name == "left" and x.value for x in levels):
        spot_of, levels = _polish(case, settled, days, widest, effort)
    return _record(season, case, now, spot_of, on, days, levels, risk)


def _polish(
    case: Situation, settled: Settled, days: float, widest: bool, effort: Effort
) -> tuple[SpotOf, list[Level]]:
    """Comfort, once nobody clashes."""
    inst, spot_of, levels = case.instance, settled.spot_of, list(settled.levels)
    touched = settled.level("touched")
    effort.say("widest smallest gap")
    if widest:
        spot_of, wide = widest_level(inst, spot_of, effort, None)
        again = settle(inst, _floor_gap(wide.value, inst, days), effort)
        spot_of, touched = again.spot_of, again.level("touched")
        levels = [x for x in levels if x.name != "touched"] + [wide, touched]
    else:
        spot_of, wide = widest_level(inst, spot_of, effort, int(touched.value or 0))
        levels.append(wide)
    least = max(days, min(_floor_gap(wide.value, inst, days), inst.smallest_gap(spot_of)))
    carrying = carrying_of(case)
    spot_of, carried = carrying_level(inst, spot_of, least, carrying, effort)
    return spot_of, [*levels, carried]


def _floor_gap(value: float | None, inst: Instance, days: float) -> float:
    """A level's gap as days to go on with: None (nobody has a neighbour) is more than all dates span."""
    if value is None:
        return max(days, max(inst.dues) - min(inst.dues) + 1)
    return value


def _worry(now: dict[str, Forecast]) -> Worry:
    """Chance in thousandths that two due so many days apart emerge within half a day of one another.

    Two independent normal emergences with the mean standard deviation of these pupae.
    """
    spread = math.sqrt(2) * max(0.1, fmean([f.due.sd for f in now.values() if f.due] or [1.0]))

    def worry(days: float) -> int:
        between = NormalDist(days, spread)
        return round(1000 * (between.cdf(0.5) - between.cdf(-0.5)))

    return worry


def _record(
    season: Season,
    case: Situation,
    now: dict[str, Forecast],
    spot_of: SpotOf,
    on: datetime,
    days: float,
    levels: list[Level],
    risk: float | None,
) -> Plan:
    where = {case.ids[i]: cast(Spot, spot) for i, spot in spot_of.items()} | case.undated
    moved = {case.ids[i] for i in case.instance.touched(spot_of)}
    hangs = []
    for pupa in season.pupae:
        if pupa.present:
            spot, due = where[pupa.id], now[pupa.id].due
            hangs.append(
                Hang(
                    pupa=pupa.id,
                    place=spot.place,
                    spot="?" if spot.at is None else spot.tag,
                    x=spot.x,
                    y=spot.y,
                    due=due.day if due else None,
                    from_place=pupa.place if pupa.id in moved else None,
                )
            )
    clashes, waiting = case.too_close(spot_of, days)
    levels = [_with_pinned(level, clashes) for level in levels]
    return Plan(
        on=on,
        gap_days=days,
        hangs=tuple(hangs),
        moves=moves_of(season, where, moved, now),
        clashes=clashes,
        waiting=waiting,
        left=tuple(sorted(i for i, spot in where.items() if i not in moved and case.to_clear(spot.place))),
        proof=tuple(levels),
        settings={"wing_reach": season.wing_reach, "drop": season.drop, "clearance": season.clearance}
        | ({} if risk is None else {"risk": risk}),
        drying=_drying(season, case, spot_of),
        inputs=dict(season.digests),
    )


def _drying(season: Season, case: Situation, spot_of: SpotOf) -> dict[str, float]:
    """Expected number of neighbour pairs drying their wings together: as planned, and all left as found."""
    inst = case.instance
    everyone = replace(inst, pinned={})  # pairs that may not be touched count here
    chances = emergences(season, [season.pupa[i] for i in case.ids])

    def expected(where: SpotOf) -> float:
        pairs = [(case.ids[a], case.ids[b]) for a, b in everyone.neighbour_pairs(where)]
        return round(expected_together(pairs, chances), 3)

    return {"as_planned": expected(spot_of), "as_found": expected({**inst.pinned, **inst.homes})}


def _with_pinned(level: Level, clashes: tuple[TooClose, ...]) -> Level:
    """The solver leaves out pairs of which neither may be touched; in the plan they count as clashes."""
    if level.name != "clashes":
        return level
    more = len(clashes) - int(level.value or 0)
    return Level(name="clashes", value=len(clashes), bound=int(level.bound or 0) + more, proved=level.proved)
