"""Who waits on its lid: the fewest to be left there for a day, so that nobody who is hung clashes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from ortools.sat.python import cp_model

from planner.emergence import Forecast
from planner.engine.explain.unsatisfiable_core import lean
from planner.engine.model import budget
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.level import Level
from planner.engine.model.solver import Answer, Effort, solve, solve_repeatably
from planner.engine.model.variables import Var
from planner.engine.search.construct import construct
from planner.engine.search.lexicographic import good
from planner.planning.problem.season_problem import Situation, hangs_already
from planner.season.when import day_text

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Waiting:
    """Ids of those who wait on their lids, until when at least, and how few that is proved to be.

    ``clashes``: fewer than so many are impossible, whoever waits; ``left``: so many are left where these do.
    """

    pupae: tuple[str, ...]
    until: datetime
    level: Level
    clashes: int
    left: int


def able_to_wait(case: Situation, on: datetime) -> set[str]:
    """Who can still be moved a day later: on a lid, and not darkening by then, even if it is early."""
    found = set()
    for name in (case.ids[i] for i in case.instance.free_items):
        due, dark = case.now[name].due, case.now[name].dark_from
        early = dark - (due.median - due.low) if due and dark else dark
        if (early is None or on + DAY < early) and not hangs_already(case.season.pupa[name], case.season):
            found.add(name)
    return found


def fewest_waiting(case: Situation, on: datetime, days: float, effort: Effort) -> tuple[Waiting | None, bool]:
    """Who waits, so that as few clash as can be, and they wait as little; None: nobody, or not found out.

    Also whether it is proved that some clash whoever waits.

    One that waits clashes with nobody on its lid, for it will have left before either emerges; but nobody
    stays for good beside it. Evenings on the lid are counted from when it is firm, so that one that has
    waited long is hung rather than some that came after it. Of sets alike in that, one is taken whose pupae
    are due late. Clashes are only counted where there is no plan without.
    """
    able = able_to_wait(case, on)
    inst = lean(case.instance)
    may = [i for i in inst.free_items if case.ids[i] in able]
    if good(case.instance, construct(case.instance, days), days):  # found without the solver
        return None, False
    if not may:
        return None, False
    sure = False
    effort.say("whether some can wait on their lids")
    for counted in (False, True):
        model = HangModel(inst, days, merge=False, demand=False, counted=counted)
        wait = {i: model.cp.new_bool_var(f"{case.ids[i]} waits") for i in may}
        _all_hang_or_wait(model, wait)
        _nobody_stays_beside(case.instance, model, wait)
        _nobody_hangs_beside(case.instance, model, wait, days)
        evenings = sum(evenings_on_lid(case.now[case.ids[i]], on) * one for i, one in wait.items())
        clashes = left = 0
        if counted:
            model.cp.minimize(model.clash_count)
            answer = solve(model.cp, effort, budget.DEFERRAL_SHARE * effort.clock.left)
            if not answer.solved or answer.value is None or answer.bound is None:
                return None, sure
            model.cp.add(model.clash_count <= answer.value)
            clashes, left = max(int(sure), answer.bound), answer.value
            sure = clashes > 0
        model.cp.minimize(evenings)
        answer = solve(model.cp, effort, budget.DEFERRAL_SHARE * effort.clock.left)
        if answer.solved and answer.value is not None and answer.bound is not None:
            model.cp.add(evenings <= answer.value)
            return _due_late(case, on, model, wait, answer, (clashes, left), effort), sure
        sure = sure or answer.status == "infeasible"
    return None, sure


def evenings_on_lid(forecast: Forecast, on: datetime) -> int:
    """How many evenings it will have spent there once firm, tonight's too."""
    assert forecast.firm_from is not None  # else it would stay
    return 1 + (on - forecast.firm_from) // DAY


def _due_late(
    case: Situation,
    on: datetime,
    model: HangModel,
    wait: Mapping[int, Var],
    fewest: Answer,
    clashes: tuple[int, int],
    effort: Effort,
) -> Waiting | None:
    """Of the sets that wait as little as that found, the one due latest, as far as it is found."""
    assert fewest.value is not None
    assert fewest.bound is not None
    waiting = {i for i, literal in wait.items() if fewest.on(literal)}
    if not waiting:
        return None
    last = max(model.inst.dues)
    model.cp.minimize(sum(round(10 * (last - model.inst.dues[i])) * literal for i, literal in wait.items()))
    model.cp.clear_hints()  # type: ignore[no-untyped-call]  # ortools has no types here
    for i, literal in wait.items():
        model.cp.add_hint(literal, i in waiting)
    better = solve_repeatably(model.cp, effort, budget.DEFERRAL_LATEST)
    if better.solved:
        waiting = {i for i, literal in wait.items() if better.on(literal)}
    value, bound = sum(evenings_on_lid(case.now[case.ids[i]], on) for i in waiting), fewest.bound
    level = Level(name="waiting", value=value, bound=bound, proved=value == bound)
    return Waiting(tuple(sorted(case.ids[i] for i in waiting)), on + DAY, level, *clashes)


def _all_hang_or_wait(model: HangModel, wait: Mapping[int, Var]) -> None:
    """For each class c: (how many of c hang) + (how many wait) = its items; nobody does both."""
    hung = model.hung()
    for c, items in enumerate(model.classes.members):
        free = [i for i in items if i not in model.inst.pinned]
        if free:
            waiting = [wait[i] for i in free if i in wait]
            model.cp.add(cp_model.LinearExpr.sum([*hung.get(c, []), *waiting]) == len(free))
    for i, literal in wait.items():
        if i in model.stay:
            model.cp.add_at_most_one([literal, model.stay[i]])


def _nobody_stays_beside(inst: Instance, model: HangModel, wait: Mapping[int, Var]) -> None:
    """For each clique q of homes and run r: whether one of r stays in q is b, and then none of r waits in q.

    ``inst``: with the homes of those who must leave their lid, whom the model knows only as waiting.
    """
    of, home_of = model.classes.of, inst.home_of
    for clique in inst.cover:
        there = [home_of[node] for node in clique if node in home_of]
        for run in [*model.classes.runs, *map(set, model.classes.pairs)]:
            staying = [model.stay[i] for i in there if i in model.stay and of[i] in run]
            waiting = [wait[i] for i in there if i in wait and of[i] in run]
            if staying and waiting:
                stays = model.cp.new_bool_var(f"one of {', '.join(literal.name for literal in staying)}")
                model.cp.add_bool_or(staying).only_enforce_if(stays)
                for literal in staying:
                    model.cp.add_implication(literal, stays)
                for literal in waiting:
                    model.cp.add_implication(literal, ~stays)


def _nobody_hangs_beside(inst: Instance, model: HangModel, wait: Mapping[int, Var], days: float) -> None:
    """For each spot within reach of a lid: who clashes with i does not hang there, or i does not wait."""
    for i, literal in wait.items():
        for node in inst.graph[inst.homes[i]]:
            for c, items in enumerate(model.classes.members):
                if (node, c) in model.x and inst.clash(i, items[0], days):
                    model.cp.add_implication(literal, ~model.x[node, c])


def held_back(now: Mapping[str, Forecast], who: Collection[str], until: datetime) -> dict[str, Forecast]:
    """What is known of everybody; those who wait are as little to be touched as if they were soft."""
    why = f"waits on its lid for a spot until {day_text(until.date())} {until:%H:%M}"
    return {
        name: replace(f, stage="waiting", firm_from=until, why=why) if name in who else f
        for name, f in now.items()
    }
