"""The first objectives of an instance of any size, within the time and the memory there are."""

from __future__ import annotations

from dataclasses import replace

from planner.engine.model import budget
from planner.engine.model.estimate import affordable_terms, construction_seconds, most_classes
from planner.engine.model.instance import Instance
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty
from planner.engine.model.solver import Effort
from planner.engine.rounded import Rounded, rounded
from planner.engine.search.lexicographic import (
    OnIncumbent,
    Solution,
    ignore_incumbent,
    solve_lexicographic,
    with_values,
)
from planner.engine.within_budget import Budget


def affordable_lexicographic(
    inst: Instance,
    gap: float,
    effort: Effort,
    penalty: Penalty | None = None,
    on_incumbent: OnIncumbent = ignore_incumbent,
) -> Solution:
    """`solve_lexicographic`; of dues rounded to few classes where the true ones make too large a model.

    Notes
    -----
    Of many dues that differ by hours no model is made. With rounded dues gaps are wrong by ε at most: an
    arrangement that keeps gap + ε keeps the gap, and what is impossible at gap - ε is impossible. The best of
    what is found is returned, with its values counted from the true dues.
    """
    search = Budget(inst, effort)
    if search.allows(construction_seconds(len(inst.graph), search.classes)):
        found = solve_lexicographic(inst, gap, effort, penalty, on_incumbent)
    else:
        coarse = search.coarse()
        found = solve_lexicographic(coarse.inst, gap + coarse.error, effort, penalty)
        found = replace(with_values(inst, found, gap, penalty), exact=False)
    near = None if found.exact else _affordable(inst, effort)
    if near is None or _proved(found):
        return found
    effort.say("plans with dates rounded to fewer")
    with search.part(budget.ROUNDED_SHARE) as most:
        safe = solve_lexicographic(near.inst, gap + near.error, most, penalty)
    found = min(found, with_values(inst, safe, gap, penalty), key=_values)
    on_incumbent(found.spot_of, found.levels)
    if near.error >= gap or _proved(found):
        return found
    with search.part(budget.ROUNDED_SHARE) as most:
        loose = solve_lexicographic(near.inst, gap - near.error, most, penalty)
    return replace(found, levels=tuple(_bounded(found, loose)))


def _affordable(inst: Instance, effort: Effort) -> Rounded | None:
    """The instance with as many classes as a model has time and memory for; None: too few to say anything."""
    seconds = budget.ROUNDED_SHARE * effort.clock.steady_left
    classes = most_classes(inst, affordable_terms(seconds, effort.memory))
    return rounded(inst, classes) if classes >= budget.ROUNDED_CLASSES else None


def _proved(found: Solution) -> bool:
    return all(level.proved for level in found.levels)


def _values(found: Solution) -> tuple[float, ...]:
    """What is the better the less it is, in order; no trouble where there are no clashes."""
    value = {level.name: level.value or 0 for level in found.levels}
    return tuple(value.get(name, 0) for name in ("left", "clashes", "trouble", "touched", "handling"))


def _bounded(found: Solution, loose: Solution) -> list[Level]:
    """The levels of ``found``, with bounds that ``loose`` proves: it was asked for less.

    A bound says something of a level only where all levels before it are as good in both.
    """
    bound_of, levels, alike = {level.name: level.bound for level in loose.levels}, [], True
    for level in found.levels:
        known = bound_of.get(level.name)
        bound = level.bound
        if alike and known is not None and level.name != "trouble":  # that is counted in whole days
            bound = max(known, bound or 0)
        alike = alike and level.value == bound
        levels.append(replace(level, bound=bound, proved=level.value == bound))
    return levels
