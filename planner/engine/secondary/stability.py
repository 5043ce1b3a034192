"""Stability: items keep the nodes of a prior assignment, where no level before gets worse by it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.due_classes import due_classes
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, SpotOf
from planner.engine.model.penalties import Penalty
from planner.engine.model.solver import Effort, solve
from planner.engine.search.lexicographic import Solution, is_feasible, left_behind, solve_lexicographic
from planner.engine.secondary.fixed_levels import fix_levels

Restrict = Callable[[HangModel], None]


def kept(spot_of: SpotOf, prior: SpotOf) -> SpotOf:
    """Those of the prior assignment that have their node."""
    return {i: node for i, node in prior.items() if spot_of[i] == node}


def most_kept(
    inst: Instance, solution: Solution, gap: float, prior: SpotOf, penalty: Penalty | None, effort: Effort
) -> tuple[Solution, int]:
    """The solution in which most items keep their node of ``prior``, and how many lose it at least.

    Parameters
    ----------
    solution
        Of the first levels: none of them gets worse.
    gap
        Days.
    prior
        Item → open node, for some of the free items; no node twice.

    Notes
    -----
    Keeping all is tried first: the others stay at home, or are arranged around them. The model is asked only
    where that costs something.
    """
    reached = _rank(inst, solution.spot_of, gap, penalty)
    if _compatible(inst, prior):
        at_home = _others_at_home(inst, prior)
        if at_home is not None and _rank(inst, at_home, gap, penalty) <= reached:
            return _with(solution, inst, at_home, gap, penalty), 0
        found = solve_lexicographic(inst.with_pinned(prior), gap, effort, penalty).spot_of
        if _rank(inst, found, gap, penalty) <= reached:
            return _with(solution, inst, found, gap, penalty), 0
    best, bound = realigned(inst, solution.spot_of, prior, gap), 0
    classes = len({round(due / EPS) for due in inst.dues})
    if classes * len(inst.open_nodes) <= budget.STABILITY_SOLVED:
        effort.say("fewest changes of the plan before")
        with suppress(TooLarge):
            model = HangModel(inst, gap, counted=not solution.feasible, merge=False, effort=effort)
            fix_levels(inst, solution, penalty)(model)
            model.cp.maximize(_keeping(model, prior))
            model.hint(best)
            answer = solve(model.cp, effort, budget.STABILITY_SHARE * effort.clock.left)
            if answer.bound is not None:
                bound = max(0, len(prior) - answer.bound)
            if answer.solved:
                found = realigned(inst, model.read(answer), prior, gap)
                if _rank(inst, found, gap, penalty) <= reached and len(kept(found, prior)) > len(
                    kept(best, prior)
                ):
                    best = found
    return _with(solution, inst, best, gap, penalty), bound


def arranged_around(
    inst: Instance, spot_of: SpotOf, gap: float, prior: SpotOf, penalty: Penalty | None, effort: Effort
) -> SpotOf:
    """An assignment without clashes in which all have their node of ``prior``, however many that touches.

    The others stay at home, or else are arranged around them: no closer in dues than in ``spot_of``, which
    has no clash, where that can be. ``spot_of`` itself where there is none.
    """
    if not prior or not _compatible(inst, prior):
        return spot_of
    at_home = _others_at_home(inst, prior)
    if at_home is not None and is_feasible(inst, at_home, gap):
        return at_home
    rest = inst.with_pinned(prior)
    for days in (inst.smallest_gap(spot_of), gap):
        if math.isfinite(days):
            found = solve_lexicographic(rest, max(days, gap), effort, penalty).spot_of
            if is_feasible(inst, found, gap):
                return found
    return spot_of


def keep_at_least(prior: SpotOf, many: int) -> Restrict:
    """A restriction: so many items have their node of ``prior``."""

    def restrict(model: HangModel) -> None:
        if many:
            model.cp.add(_keeping(model, prior) >= many)

    return restrict


def both(one: Restrict, other: Restrict) -> Restrict:
    """The two restrictions as one."""

    def restrict(model: HangModel) -> None:
        one(model)
        other(model)

    return restrict


def realigned(inst: Instance, spot_of: SpotOf, prior: SpotOf, gap: float) -> SpotOf:
    """The assignment with nodes exchanged among those of one due, so that they have their own of ``prior``.

    An item that stays at home stays there.
    """
    of, found = due_classes(inst, gap, merge=False).of, dict(spot_of)
    at = {found[i]: i for i in inst.touched(found)}
    moved = {*at.values()}
    for item, node in prior.items():
        other = at.get(node)
        if other is None or item not in moved or of[other] != of[item]:
            continue
        found[item], found[other] = node, found[item]
        at[found[other]], at[node] = other, item
    return found


def _keeping(model: HangModel, prior: SpotOf) -> cp_model.LinearExprT:
    """How many have their node of ``prior``: one of their class hangs there, and they are moved."""
    keeps = []
    for item, node in prior.items():
        here = model.x.get((node, model.classes.of[item]))
        if here is None:
            continue
        keep = model.cp.new_bool_var(f"{item} keeps its node")
        model.cp.add_implication(keep, here)
        if item in model.stay:
            model.cp.add_implication(keep, model.stay[item].negated())
        keeps.append(keep)
    return cp_model.LinearExpr.sum(keeps)


def _compatible(inst: Instance, prior: SpotOf) -> bool:
    """Whether all may have their node at once, and none is the home of another, or too near to one."""
    nodes = {*prior.values()}
    shut = nodes | {node for i, node in inst.homes.items() if i not in prior}
    return not any(node in inst.home_of or inst.excludes.get(node, set()) & shut for node in nodes)


def _others_at_home(inst: Instance, prior: SpotOf) -> SpotOf | None:
    """The assignment in which all others stay at home; None where one of them has none."""
    found = {**inst.homes, **inst.pinned, **prior}
    return found if len(found) == len(inst.dues) else None


def _values(inst: Instance, spot_of: SpotOf, gap: float, penalty: Penalty | None) -> Mapping[str, int]:
    """What an assignment reaches on the first levels, in their order."""
    clashes, pending = inst.clashes(spot_of, gap), inst.pending(spot_of, gap)
    trouble = sum(penalty(math.floor(inst.gap(*pair) + EPS)) for pair in clashes) if penalty else 0
    return {
        "left": left_behind(inst, spot_of),
        "clashes": len(clashes) - pending,
        "pending": pending,
        "trouble": trouble,
        "touched": inst.handling(spot_of),
    }


def _rank(inst: Instance, spot_of: SpotOf, gap: float, penalty: Penalty | None) -> tuple[int, ...]:
    """Whether reservations or clips are in the way, then the levels: the less the better."""
    return int(not inst.leaves_room(spot_of)), *_values(inst, spot_of, gap, penalty).values()


def _with(
    solution: Solution, inst: Instance, spot_of: SpotOf, gap: float, penalty: Penalty | None
) -> Solution:
    """The solution with another assignment, that is at least as good on its levels."""
    values = dict(_values(inst, spot_of, gap, penalty))
    values["handling"] = values["touched"]
    levels = tuple(
        replace(level, value=values[level.name], proved=values[level.name] == level.bound)
        for level in solution.levels
    )
    return Solution(spot_of, levels, is_feasible(inst, spot_of, gap))
