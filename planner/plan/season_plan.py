"""From a season to its plan: what may move, where to, in which order of objectives, and what was proved."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from statistics import NormalDist, fmean
from typing import cast

import numpy as np

from planner.emergence import Forecast, emergences, expected_together, forecasts
from planner.plan.ahead import Room
from planner.plan.comfort import comfort
from planner.plan.coming import SURE
from planner.plan.holding import Waiting, fewest_waiting, held_back
from planner.plan.instance import TENTHS, SpotOf
from planner.plan.moves import moves_of
from planner.plan.pairs import ends_of
from planner.plan.proof import no_better_than
from planner.plan.settle import Settled, Worry, settle
from planner.plan.situation import Situation, situation
from planner.plan.solving import Clock, Effort
from planner.rack import Spot
from planner.season import Hang, Kept, Level, Plan, Season, Stuck, TooClose, Waits


def make_plan(
    season: Season,
    on: datetime,
    *,
    gap: float | None = None,
    widest: bool = False,
    rehang: bool = False,
    wait: bool = False,
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
    rehang
        Whether those that hang already may be moved as well, where that leaves fewer clashes.
    wait
        Whether some may be left on their lids for a day, where that leaves no clash; the fewest then are.
    seconds
        For all objectives together; comfort (widest gap after few touched, carrying) gets small shares.
    progress, stop
        Told what is being looked for; asked whether to end at once with the best so far.

    Notes
    -----
    Objectives in order, each fixed before the next: nobody left on a lid to be cleared; fewest clashes;
    those least likely to emerge together; fewest touched; room for those to come; widest smallest gap;
    shortest length used of lines with sliding clips; least carrying, in order of date.
    """
    effort = Effort(Clock(seconds, stop), seed, workers, progress)
    risk = season.risk if gap is None else None
    days = 0.0 if risk is not None else season.gap_days if gap is None else gap
    now = forecasts(season, on)
    worry = None if risk is not None else _worry(now)
    as_hung = situation(season, now, risk, on=on)
    waiting = fewest_waiting(as_hung, on, days, effort) if wait else None
    if waiting is not None:
        now = held_back(now, waiting.pupae, waiting.until)
        as_hung = situation(season, now, risk, on=on)
    settled_as_hung = settle(as_hung.instance, days, effort, worry)
    fewest = _trouble_left(as_hung, settled_as_hung, days)
    settings: dict[str, float] = {}
    stuck: dict[str, str] = {}
    ideal: list[Level] = []
    while True:
        case, settled = as_hung, settled_as_hung
        if rehang and fewest > (0, 0):
            again = situation(season, now, risk, on=on, rehang=True, kept_back=stuck)
            better = settle(again.instance, days, effort, worry)
            settings = {"rehang_price": season.rehang_price, "clashes_without_rehang": fewest[1]}
            if _trouble_left(again, better, days) < fewest:
                case, settled = again, better
        spot_of, levels = settled.spot_of, list(settled.levels)
        room = None
        if not case.movable:
            levels = [level for level in levels if level.name in ("clashes", "trouble")]
        if case.movable or case.instance.coming:
            spot_of, levels, room = comfort(case, settled, levels, days, worry, widest, effort)
        settings |= _settings(season, risk)
        if waiting is not None:
            levels = [waiting.level, *(_at_best(level, waiting) for level in levels)]
        plan = _record(season, case, now, spot_of, on, days, levels, room, settings)
        ordered = moves_of(season, *_hung(case, spot_of), now, on)
        if not ordered.stuck:
            break
        # Next best: without those for whom no order of moves works. It can at best be what was found now.
        effort.say("looking for moves that can be done one after another")
        stuck |= ordered.stuck
        ideal = ideal or list(plan.proof)
    told = tuple(Stuck(pupa=pupa, why=why) for pupa, why in sorted(stuck.items()))
    proof = tuple(no_better_than(plan.proof, ideal)) if ideal else plan.proof
    waits = () if waiting is None else tuple(Waits(pupa=p, until=waiting.until) for p in waiting.pupae)
    return replace(plan, moves=ordered.moves, stuck=told, waits=waits, proof=proof)


def _at_best(level: Level, waiting: Waiting) -> Level:
    """Fewest clashes, whoever waits: what was proved is for those who do."""
    if level.name != "clashes" or level.bound is None or level.bound <= waiting.clashes:
        return level
    return replace(level, bound=waiting.clashes, proved=level.value == waiting.clashes)


def _hung(case: Situation, spot_of: SpotOf) -> tuple[dict[str, Spot], set[str]]:
    """Where everybody hangs, and who is moved there; by id."""
    where = {case.ids[i]: cast(Spot, spot) for i, spot in spot_of.items()} | case.undated
    return where, {case.ids[i] for i in case.instance.touched(spot_of)}


def _trouble_left(case: Situation, settled: Settled, days: float) -> tuple[int, int]:
    """How many are left on lids to be cleared, and how many pairs clash, those not to be touched included."""
    clashing = len(case.too_close(settled.spot_of, days)[0])
    left = sum(int(level.value or 0) for level in settled.levels if level.name == "left")
    return left, clashing


def _settings(season: Season, risk: float | None) -> dict[str, float]:
    stated = {"wing_reach": season.wing_reach, "drop": season.drop, "clearance": season.clearance}
    return stated if risk is None else {**stated, "risk": risk}


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
    room: Room | None,
    settings: dict[str, float],
) -> Plan:
    where, moved = _hung(case, spot_of)
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
        clashes=clashes,
        waiting=waiting,
        left=tuple(sorted(i for i, spot in where.items() if i not in moved and case.to_clear(spot.place))),
        kept=() if room is None else tuple(_kept(case, room)),
        proof=tuple(levels),
        settings=settings,
        drying=_drying(season, case, spot_of),
        inputs=dict(season.digests),
    )


def _kept(case: Situation, room: Room) -> Iterator[Kept]:
    """The spots kept, first those needed first."""
    coming = case.instance.coming
    for spot, k in sorted(room.kept, key=lambda kept: (coming[kept[1]].since, kept[1])):
        if case.instance.chance(spot, k) < TENTHS * SURE:
            continue  # it counts, but nobody should go by it
        assert isinstance(spot, Spot)
        since, due = (case.scale.moment(day) for day in (coming[k].since, coming[k].due))
        yield Kept(who=coming[k].name, place=spot.place, spot=spot.tag, since=since, due=due.date())


def _drying(season: Season, case: Situation, spot_of: SpotOf) -> dict[str, float]:
    """Expected number of neighbour pairs drying their wings together: as planned, and all left as found."""
    inst = case.instance
    chances = emergences(season, [season.pupa[i] for i in case.ids])
    first: dict[int, int] = {}  # of those of which the same is known
    kind = np.array([first.setdefault(id(chances[name]), i) for i, name in enumerate(case.ids)], dtype=int)

    def expected(where: SpotOf) -> float:
        pairs = ends_of(inst.graph).pairs(where)  # those that may not be touched count here
        alike, many = np.unique(np.sort(kind[pairs], axis=1), axis=0, return_counts=True)
        each = (expected_together([(case.ids[a], case.ids[b])], chances) for a, b in alike.tolist())
        return round(float(sum(count * one for count, one in zip(many.tolist(), each, strict=True))), 3)

    return {"as_planned": expected(spot_of), "as_found": expected({**inst.pinned, **inst.homes})}


def _with_pinned(level: Level, clashes: tuple[TooClose, ...]) -> Level:
    """The solver leaves out pairs of which neither may be touched; in the plan they count as clashes."""
    if level.name != "clashes":
        return level
    more = len(clashes) - int(level.value or 0)
    return Level(name="clashes", value=len(clashes), bound=int(level.bound or 0) + more, proved=level.proved)
