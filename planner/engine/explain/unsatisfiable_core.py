"""Unsatisfiable cores: sets of items that cannot all be hung without a clash, minimal under deletion."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from planner.engine.explain.feasibility import has_solution
from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.due_classes import due_classes
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, SpotOf
from planner.engine.model.solver import Effort, solve
from planner.engine.model.sub_instance import feasibility_question, sub_instance

T = TypeVar("T")


@dataclass(frozen=True)
class Core:
    """An unsatisfiable core: ``items`` cannot all be hung beside the ``pinned`` ones.

    ``minimal``: whether without any one of the items the rest can be; then ``rest`` is such a layout (of all
    but one). Otherwise the set is only known to be sufficient. ``dates`` False: not even if no date mattered.
    """

    items: tuple[int, ...]
    pinned: tuple[int, ...]
    minimal: bool
    rest: SpotOf
    dates: bool = True


def find_cores(inst: Instance, gap: float, effort: Effort) -> Iterator[Core]:
    """The unsatisfiable cores found; none unless that is proved within the clock. ``gap`` in days.

    Notes
    -----
    What is asked first is what happens most, and is proved at once: are there more items than nodes, whatever
    their dues; is one run of mutually clashing classes too much. Only when neither is, the solver is given
    one assumption per class, "all of this class hang", and its core names the classes that suffice. Then
    items are left out, half of them, a quarter and so on down to single ones, as long as the rest is still
    proved impossible; then pinned ones in the same way.
    """
    inst = feasibility_question(inst)
    free = inst.free_items
    plain = replace(inst, risky=frozenset(), kinds=())
    crowded = False
    start = [i for i in free if i not in inst.homes]
    if core := _shrunk(plain, 0.0, start, effort):
        crowded = True
        yield replace(core, dates=False)
    classes = due_classes(inst, gap)
    runs = [[i for c in run for i in classes.members[c] if i not in inst.pinned] for run in classes.runs]
    for run in sorted(filter(None, runs), key=len, reverse=True)[: budget.CORE_RUNS]:
        core = _shrunk(inst, gap, run, effort)
        # Where even without dates there is no room for these, it has been said already.
        if core and not (crowded and has_solution(sub_instance(plain, core.items, ()), 0.0, effort) is False):
            yield core
            return
    if not crowded and free and (core := _shrunk(inst, gap, _named_by_solver(inst, gap, effort), effort)):
        yield core


def _named_by_solver(inst: Instance, gap: float, effort: Effort) -> list[int]:
    """Items of the due classes that the solver's core names; empty when it found none."""
    try:
        return _by_assumption(inst, gap, effort)
    except TooLarge:
        return []


def _by_assumption(inst: Instance, gap: float, effort: Effort) -> list[int]:
    model = HangModel(inst, gap, demand=False, effort=effort)
    hung = model.hung()
    asked = {}
    classes = model.classes
    for c, members in enumerate(classes.members):
        if count := sum(i not in inst.pinned for i in members):
            asked[c] = model.cp.new_bool_var(f"all of class {c} hang")
            model.cp.add(cp_model.LinearExpr.sum(hung.get(c, [])) >= count).only_enforce_if(asked[c])
    model.cp.add_assumptions(list(asked.values()))
    answer = solve(model.cp, replace(effort, workers=1), budget.CORE_SHARE * effort.clock.left)
    if answer.status != "infeasible":
        return []
    named = {c for c, literal in asked.items() if literal.index in answer.core} or set(asked)
    return [i for c in sorted(named) for i in model.classes.members[c] if i not in inst.pinned]


def _shrunk(inst: Instance, gap: float, start: Collection[int], effort: Effort) -> Core | None:
    """The core within ``start``; None unless it is proved that those cannot all be hung."""
    alone, sure = replace(effort, workers=1), True
    pinned = list(inst.pinned)

    def stuck(some: Collection[int], fixed: Collection[int]) -> bool:
        nonlocal sure
        found = has_solution(sub_instance(inst, some, fixed), gap, alone, whole=inst)
        sure = sure and found is not None
        return found is False

    if not start or not stuck(start, pinned):
        return None
    of = due_classes(inst, gap).of
    dates_count = gap > EPS or bool(inst.risky)
    # Who must leave is like all others of its due; who may stay has a home of its own.
    alike = {i: (of[i] if dates_count else 0, i if i in inst.homes else -1) for i in start}
    items = sorted(start, key=lambda i: (alike[i], i))
    few = shrink(items, alike.__getitem__, lambda some: bool(some) and stuck(some, pinned))
    minimal = sure
    fixed = shrink(pinned, lambda i: i, lambda some: stuck(few, some))
    rest: SpotOf = {}
    if minimal and len(few) > 1:
        rest = _layout(inst, few[:-1], fixed, gap, alone)
    return Core(tuple(few), tuple(fixed), minimal, rest)


def shrink(
    units: Sequence[T], alike: Callable[[T], Hashable], still: Callable[[Sequence[T]], bool]
) -> list[T]:
    """A subset for which ``still`` holds, minimal under deletion as far as ``still`` can tell.

    Parameters
    ----------
    alike
        What makes units interchangeable: of those only one is tried where one could not be left out.
    still
        A monotone condition: it holds for ``units``, and for whatever includes a set for which it holds.
    """
    left = list(units)
    size = len(left)
    while size:
        at = 0
        needed: set[Hashable] = set()  # what could not be left out at this size cannot later on either
        while at < len(left):
            kinds = tuple(map(alike, left[at : at + size]))
            if kinds not in needed:
                fewer = left[:at] + left[at + size :]
                if still(fewer):
                    left = fewer
                    continue
                needed.add(kinds)
            at += size
        size = 0 if size == 1 else max(1, min(size, len(left)) // 2)
    return left


def _layout(
    inst: Instance, items: Collection[int], pinned: Collection[int], gap: float, effort: Effort
) -> SpotOf:
    """Where those items hang, all of them; empty where it was not found in time."""
    order = sorted({*items, *pinned})
    part = sub_instance(inst, items, pinned)
    try:
        model = HangModel(part, gap, effort=effort)
    except TooLarge:
        return {}
    answer = solve(model.cp, effort, budget.CORE_QUESTION)
    if not answer.solved:
        return {}
    return {order[k]: node for k, node in model.read(answer).items() if order[k] in items}
