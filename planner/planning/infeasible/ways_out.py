"""The ways out of a season without a plan free of clashes: each tried by solving, with its least price."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import cast

from planner.emergence import Forecast, forecasts, profile_of
from planner.engine.model import budget
from planner.engine.model.solver import Effort
from planner.engine.search.bounds import possible_gaps, widest_below
from planner.engine.search.lexicographic import solve_lexicographic
from planner.planning.deferral import Deferred, deferrable, fewest_deferred, with_deferred
from planner.planning.infeasible.clash_free import InfeasibleSeason, first_possible
from planner.planning.infeasible.more_spots import more_spots
from planner.planning.infeasible.reasons import explain, pinned_pairs
from planner.planning.moves.move_list import moves_of
from planner.planning.problem.season_problem import SeasonProblem, hangs_already
from planner.rack import Spot
from planner.season import Lid, Plan, Season, When
from planner.season.places.dividers import Divider, spot_at
from planner.season.plan.reason_record import (
    Cards,
    Explained,
    HoldBack,
    NoWay,
    Rehang,
    SmallerGap,
    Wait,
    WayOut,
)

DEAR = 1000  # moves from a lid; to re-hang one is worse than that, so that the fewest are


def explain_plan(season: Season, plan: Plan, effort: Effort) -> Explained:
    """The reasons why a plan has clashes or leaves some behind, and the ways out; empty for a good one."""
    if not plan.clashes and not plan.leaves_some:
        return Explained()
    rehang, stuck = "clashes_without_rehang" in plan.settings, tuple(one.pupa for one in plan.stuck)
    infeasible = InfeasibleSeason(
        season, plan.on, plan.gap_days, plan.risk, effort, rehang, stuck, plan.evenings > 1
    )
    now = infeasible.now()
    problem = infeasible.problem(season, now)
    half = replace(effort, clock=effort.clock.part(budget.REASONS_SHARE))
    # Who waits for a spot that comes free is no part of what cannot be.
    waits = with_deferred(now, {one.pupa: one.until for one in plan.waits})
    reasons = explain(
        infeasible.problem(season, waits) if plan.waits else problem,
        infeasible.days,
        half,
        rehang=rehang,
        clashes=None if plan.leaves_some else len(plan.clashes),
    )
    ways = tuple(ways_out(infeasible, problem, plan))
    return Explained(reasons, ways, complete=effort.clock.left > 0)


def ways_out(infeasible: InfeasibleSeason, problem: SeasonProblem, plan: Plan) -> Iterator[WayOut]:
    """The ways out, each kind with its least price, cheap questions first; ends early with the clock."""
    yield from cards(infeasible.season, plan)
    clashes = 0 if plan.leaves_some else len(plan.clashes)
    for way in (_gap, _defer, partial(_rehang, clashes=clashes), _wait):
        if infeasible.effort.clock.left > 0:
            yield from way(infeasible, problem)
    if infeasible.effort.clock.left > 0:
        yield from more_spots(infeasible, problem)


def cards(season: Season, plan: Plan) -> Iterator[WayOut]:
    """Cards as a way out: one for each clash of the plan, which has the fewest.

    Fewer cards cannot do: with c cards and a plan then free of clashes, that same plan without the cards has
    at most c clashes, for each card parts one pair; and the fewest clashes are those of ``plan``.
    """
    if plan.leaves_some:
        return  # no card makes a spot
    at = {h.pupa: (h.place, h.spot) for h in plan.hangs}
    found = []
    for pair in plan.clashes:
        ends = at[pair.a], at[pair.b]
        places = [season.place[name] for name, _ in ends]
        who = f"{pair.a} and {pair.b}"
        if any(isinstance(place, Lid) for place in places):
            yield NoWay(of="cards", why=f"{who} are not both on a line or board")
            return
        rules, (p, q) = season.card_rules, places
        if why := rules.cannot(p, ends[0][1], q, ends[1][1]):
            yield NoWay(of="cards", why=f"{who} {why}")
            return
        found.append(
            Divider(*sorted(ends, key=lambda end: spot_at(season.place[end[0]], end[1], season.cm_per_unit)))
        )
    proved = any(level.name == "clashes" and level.proved for level in plan.proof)
    yield Cards(dividers=tuple(found), least=proved)


def _gap(infeasible: InfeasibleSeason, problem: SeasonProblem) -> Iterator[WayOut]:
    """The widest gap: only differences of two dues matter, as pairs begin to clash just past one."""
    if infeasible.risk is not None:
        return
    infeasible.effort.say("the widest gap that would do")
    shorter = [gap for gap in possible_gaps(problem.instance.dues) if 0 < gap < infeasible.days - 1e-9]
    found, sure = first_possible(
        [-gap for gap in sorted(shorter, reverse=True)],
        lambda gap: infeasible.solvable(problem, -gap),
    )
    days = 0.0 if found is None else math.floor(-found * 100 + 1e-5) / 100
    if found is not None:  # of very many gaps not all are asked about
        wider = min((gap for gap in shorter if gap > -found + 1e-9), default=infeasible.days)
        sure = sure and widest_below(problem.instance.dues, wider) <= -found + 1e-6
    if days:
        yield SmallerGap(days=days, least=sure)
    elif sure:
        yield NoWay(of="gap")


def _rehang(infeasible: InfeasibleSeason, problem: SeasonProblem, clashes: int) -> Iterator[WayOut]:
    """Fewest hung pupae to move; a plan of moves for them must exist.

    Where that leaves some clashes it is one if they are fewer than ``clashes``, which are the plan's.
    """
    season, now = infeasible.season, dict(problem.now)
    hung = [p.id for p in season.pupae if p.present and hangs_already(p, season)]
    if not hung or infeasible.rehang:
        return
    infeasible.effort.say("whom to re-hang")
    again = infeasible.problem(season, now, rehang=True)
    untouchable = pinned_pairs(again, infeasible.days)
    if untouchable and not clashes:
        yield NoWay(of="rehang", why="a pair too close may not be touched")
        return
    inst = replace(again.instance, price=dict.fromkeys(again.instance.price, DEAR))
    if not inst.price:
        yield NoWay(of="rehang", why="none that hangs may be moved now")
        return
    clock = infeasible.effort.clock.part(budget.REHANG_SHARE)
    solution = solve_lexicographic(inst, infeasible.days, replace(infeasible.effort, clock=clock))
    left = inst.count_clashes(solution.spot_of, infeasible.days) + len(untouchable)
    free = solution.feasible and not untouchable
    fewer = not free and 0 < left < clashes
    if not free and not fewer:
        if untouchable:
            yield NoWay(of="rehang", why="a pair too close may not be touched")
        elif any(level.name in ("left", "clashes") and level.bound for level in solution.levels):
            yield NoWay(of="rehang", why="not even if all that hang could be moved")
        return
    moved = {again.ids[i] for i in inst.touched(solution.spot_of)}
    where = {again.ids[i]: cast(Spot, spot) for i, spot in solution.spot_of.items()} | again.prepupae
    if moves_of(season, where, moved, now, infeasible.on).stuck:
        yield NoWay(of="rehang", why="no order of moves was found for it")
        return
    who = tuple(name for name in hung if name in moved)
    if fewer:
        yield Rehang(pupae=who, least=False, clashes=left, instead=clashes)
        return
    bound = solution.touched.bound
    yield Rehang(pupae=who, least=bound is not None and math.ceil(bound / DEAR - 0.999) >= len(who))


def _defer(infeasible: InfeasibleSeason, problem: SeasonProblem) -> Iterator[WayOut]:
    """Fewest to leave on their lids; whoever clashes where it hangs is not helped by that.

    A way out is that only where each has a spot on a later evening that is surely free by then.
    """
    if infeasible.wait:
        return
    if pinned_pairs(problem, infeasible.days):
        yield NoWay(of="hold", why="not even if all waited that can be moved a day later")
        return
    some_clash, of = False, (infeasible.on, infeasible.days, infeasible.effort)
    for span in (budget.EVENINGS_AHEAD, 2):  # a spot by then, or else a day won
        found, some_clash = fewest_deferred(problem, *of, span)
        if found is None or any(found.reached.values()):
            continue
        placed = not found.levels[0].value
        if placed or span == 2:
            yield _held(infeasible, problem, found, placed=placed)
            return
    if some_clash or not deferrable(problem, infeasible.on):
        yield NoWay(of="hold", why="not even if all waited that can be moved a day later")


def _held(infeasible: InfeasibleSeason, problem: SeasonProblem, found: Deferred, *, placed: bool) -> HoldBack:
    until = max(found.until.values())
    later, gone = as_predicted(infeasible.season, dict(problem.now), until)
    # Where not even free hands find a plan then, those who are hung now are only more in the way.
    then = True if placed else infeasible.possible(later, forecasts(later, until))
    return HoldBack(
        pupae=tuple(found.until),
        until=until,
        least=found.levels[0].proved,
        gone=gone,
        then=then,
        evenings=1 + (until - infeasible.on).days,
        placed=placed,
    )


def _wait(infeasible: InfeasibleSeason, problem: SeasonProblem) -> Iterator[WayOut]:
    """The first day on which planning anew finds no clash, if all goes as reckoned.

    By then whoever is due has emerged and dried its wings, and who is soft is firm. Nobody may lose by
    waiting: it ends when the first of those who clash where they are, or must leave, may be darkening.
    """
    season, inst = infeasible.season, problem.instance
    as_found = {**inst.homes, **inst.pinned}
    if pinned_pairs(problem, infeasible.days):
        return
    infeasible.effort.say("whether waiting would do")
    close = {i for pair in inst.clashes(as_found, infeasible.days) for i in pair}
    urgent = [problem.ids[i] for i in inst.free_items if i in inst.barred or i in close]
    for days in range(1, budget.LONGEST_WAIT + 1):
        on = infeasible.on + timedelta(days=days)
        later, gone = as_predicted(season, dict(problem.now), on)
        now = forecasts(later, on)
        if not all(name in now and now[name].movable for name in urgent):
            break
        answer = infeasible.possible(later, now)
        if answer:
            soft = [name for name, f in problem.now.items() if f.stage == "soft"]
            firm = tuple(name for name in soft if name in now and now[name].movable)
            yield Wait(until=on, gone=gone, firm=firm)
            return
        if answer is None:
            return
    yield NoWay(of="wait", why="before they may be darkening")


def as_predicted(season: Season, now: dict[str, Forecast], on: datetime) -> tuple[Season, tuple[str, ...]]:
    """The season at a later moment if everybody emerges when its median says, and who has by then."""
    gone = []
    for pupa in season.pupae:
        due = now[pupa.id].due if pupa.present else None
        if due and due.median + timedelta(hours=profile_of(season, pupa.species).wing_drying) <= on:
            gone.append(pupa.id)
    left = tuple(
        replace(p, outcome="emerged", ended=When(on.date())) if p.id in gone else p for p in season.pupae
    )
    return replace(season, pupae=left), tuple(gone)
