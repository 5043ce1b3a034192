"""Items left at their homes till later: the fewest, so that nobody who is hung clashes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.engine.model import budget
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.level import Level
from planner.engine.model.solver import Answer, Effort, solve, solve_repeatably
from planner.engine.model.sub_instance import without_barred_homes
from planner.engine.model.variables import Var
from planner.engine.search.construct import construct
from planner.engine.search.lexicographic import is_feasible


@dataclass(frozen=True)
class Deferral:
    """Items deferred, and what that costs with the bound proved.

    ``clashes``: fewer than so many are impossible, whoever is deferred; ``left``: so many are left where
    these are.
    """

    items: tuple[int, ...]
    level: Level
    clashes: int
    left: int


def fewest_deferred(
    inst: Instance, gap: float, costs: Mapping[int, int], effort: Effort
) -> tuple[Deferral | None, bool]:
    """The items to defer for the fewest clashes at the least cost; None: nobody, or not found out.

    Also whether it is proved that some clash whoever is deferred.

    Parameters
    ----------
    gap
        Days.
    costs
        Item that may be deferred → what that costs.

    Notes
    -----
    One that is deferred clashes with nobody where it is, for it will have left before either emerges; but
    nobody stays for good beside it. Of sets alike in cost one is taken whose items are due late. Clashes are
    only counted where there is no assignment without.
    """
    if not costs or is_feasible(inst, construct(inst, gap), gap):  # found without the solver
        return None, False
    effort.say("whether some can wait on their lids")
    try:
        return _asked(inst, gap, costs, effort)
    except TooLarge:
        return None, False


def _asked(
    whole: Instance, gap: float, costs: Mapping[int, int], effort: Effort
) -> tuple[Deferral | None, bool]:
    """The same, asked of the solver."""
    inst, sure = without_barred_homes(whole), False
    for counted in (False, True):
        model = HangModel(inst, gap, merge=False, demand=False, counted=counted, effort=effort)
        deferred = {i: model.cp.new_bool_var(f"{i} is deferred") for i in costs}
        _all_hang_or_are_deferred(model, deferred)
        _nobody_stays_beside(whole, model, deferred)
        _nobody_hangs_beside(whole, model, deferred, gap)
        cost = sum(costs[i] * one for i, one in deferred.items())
        clashes = left = 0
        if counted:
            model.cp.minimize(model.clash_count)
            answer = solve(model.cp, effort, budget.DEFERRAL_SHARE * effort.clock.left)
            if not answer.solved or answer.value is None or answer.bound is None:
                return None, sure
            model.cp.add(model.clash_count <= answer.value)
            clashes, left = max(int(sure), answer.bound), answer.value
            sure = clashes > 0
        model.cp.minimize(cost)
        answer = solve(model.cp, effort, budget.DEFERRAL_SHARE * effort.clock.left)
        if answer.solved and answer.value is not None and answer.bound is not None:
            model.cp.add(cost <= answer.value)
            found = _due_last(model, deferred, answer, effort)
            if not found:
                return None, sure
            value, bound = sum(costs[i] for i in found), answer.bound
            level = Level(name="waiting", value=value, bound=bound, proved=value == bound)
            return Deferral(tuple(sorted(found)), level, clashes, left), sure
        sure = sure or answer.status == "infeasible"
    return None, sure


def _due_last(model: HangModel, deferred: Mapping[int, Var], fewest: Answer, effort: Effort) -> set[int]:
    """Of the sets that cost as little as the one found, the one due last, as far as it is found."""
    found = {i for i, literal in deferred.items() if fewest.on(literal)}
    if not found:
        return found
    last = max(model.inst.dues)
    model.cp.minimize(
        sum(round(10 * (last - model.inst.dues[i])) * literal for i, literal in deferred.items())
    )
    model.cp.clear_hints()  # type: ignore[no-untyped-call]  # ortools has no types here
    for i, literal in deferred.items():
        model.cp.add_hint(literal, i in found)
    better = solve_repeatably(model.cp, effort, budget.DEFERRAL_LATEST)
    return {i for i, literal in deferred.items() if better.on(literal)} if better.solved else found


def _all_hang_or_are_deferred(model: HangModel, deferred: Mapping[int, Var]) -> None:
    """For each class c: (how many of c hang) + (how many are deferred) = its items; nobody does both."""
    hung = model.hung()
    for c, items in enumerate(model.classes.members):
        free = [i for i in items if i not in model.inst.pinned]
        if free:
            put_off = [deferred[i] for i in free if i in deferred]
            model.cp.add(cp_model.LinearExpr.sum([*hung.get(c, []), *put_off]) == len(free))
    for i, literal in deferred.items():
        if i in model.stay:
            model.cp.add_at_most_one([literal, model.stay[i]])


def _nobody_stays_beside(inst: Instance, model: HangModel, deferred: Mapping[int, Var]) -> None:
    """For each clique q of homes and run r: b = "one of r stays in q", and then none of r is deferred there.

    ``inst``: with the homes of those who must leave their lid, whom the model knows only as deferred.
    """
    of, home_of = model.classes.of, inst.home_of
    for clique in inst.cover:
        there = [home_of[node] for node in clique if node in home_of]
        for run in [*model.classes.runs, *map(set, model.classes.pairs)]:
            staying = [model.stay[i] for i in there if i in model.stay and of[i] in run]
            put_off = [deferred[i] for i in there if i in deferred and of[i] in run]
            if staying and put_off:
                stays = model.cp.new_bool_var(f"one of {', '.join(literal.name for literal in staying)}")
                model.cp.add_bool_or(staying).only_enforce_if(stays)
                for literal in staying:
                    model.cp.add_implication(literal, stays)
                for literal in put_off:
                    model.cp.add_implication(literal, ~stays)


def _nobody_hangs_beside(inst: Instance, model: HangModel, deferred: Mapping[int, Var], gap: float) -> None:
    """For each spot within reach of a lid: who clashes with i does not hang there, or i is not deferred."""
    for i, literal in deferred.items():
        for node in inst.graph[inst.homes[i]]:
            for c, items in enumerate(model.classes.members):
                if (node, c) in model.x and inst.clash(i, items[0], gap):
                    model.cp.add_implication(literal, ~model.x[node, c])
