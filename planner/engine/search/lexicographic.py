"""The first objectives in order: nobody left behind, fewest clashes, least penalty, fewest touched."""

from __future__ import annotations

import math
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Protocol

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty, count, weighted_clashes
from planner.engine.model.solver import Effort, solve
from planner.engine.search.construct import construct
from planner.engine.search.repair import repair
from planner.engine.search.reservations import Reservations
from planner.engine.search.who_stays import most_staying


class OnIncumbent(Protocol):
    """Called with each new incumbent: the assignment, the levels it reaches and the reservations."""

    def __call__(
        self, spot_of: SpotOf, levels: Iterable[Level], reservations: Reservations | None = None
    ) -> None:
        """Take note of it."""


def ignore_incumbent(
    spot_of: SpotOf, levels: Iterable[Level], reservations: Reservations | None = None
) -> None:
    """Do nothing."""


@dataclass(frozen=True)
class Solution:
    """An assignment, and the levels it reaches."""

    spot_of: SpotOf
    levels: tuple[Level, ...]
    feasible: (
        bool  # no pair clashes of which one may be moved, nor is pending, and nobody is left to be cleared
    )
    exact: bool = True  # whether time and memory allowed the models with the true dues

    def level(self, name: str) -> Level:
        """The level of that name."""
        return next(level for level in self.levels if level.name == name)

    @property
    def touched(self) -> Level:
        """The level that counts those touched, by what that costs where some are dear ("handling")."""
        return next(level for level in self.levels if level.name in ("touched", "handling"))


def solve_lexicographic(
    inst: Instance,
    gap: float,
    effort: Effort,
    penalty: Penalty | None = None,
    on_incumbent: OnIncumbent = ignore_incumbent,
) -> Solution:
    """The assignment with the fewest clashes and, among those, the least penalty and the fewest touched.

    Parameters
    ----------
    gap
        Days.
    penalty
        None: clashes are only counted.
    on_incumbent
        Called with each better assignment.

    Notes
    -----
    Clash-free is tried first: a tighter model, and nearly always possible. Only when that is proved
    impossible (or not answered) are clashes counted. A start with clashes is repaired first: often it is then
    as good as can be, and the model is not asked. Nor is it where the most who can stay at home do stay, and
    all others find a spot.
    """
    start = repair(inst, gap, construct(inst, gap), effort)
    feasible = is_feasible(inst, start, gap)
    must = sum(inst.price_of(i) for i in inst.free_items if i not in inst.homes or i in inst.barred)
    if inst.homes and not (feasible and inst.handling(start) == must):
        start, must = _with_most_staying(inst, gap, start, must, effort)
        feasible = feasible or is_feasible(inst, start, gap)
    if feasible and inst.handling(start) == must:  # nobody is touched who could stay
        return Solution(start, _levels(inst, start, gap, bounds={"touched": must}), feasible)
    on_incumbent(start, _levels(inst, start, gap, {}, penalty))
    effort.say("looking for a plan without clashes")
    possible, exact = True, False
    with suppress(TooLarge):
        model = HangModel(inst, gap, effort=effort)
        if model.stay:
            model.cp.maximize(model.stays)
        model.hint(start)
        answer = solve(model.cp, effort, effort.clock.left * (1.0 if feasible else budget.CLASH_FREE_SHARE))
        if answer.solved or feasible:
            found = model.read(answer) if answer.solved else start
            most = sum(map(inst.price_of, model.stay)) if answer.bound is None else answer.bound
            fewest = max(must, inst.price_of_all - (most if model.stay else 0))
            return Solution(found, _levels(inst, found, gap, bounds={"touched": fewest}), feasible=True)
        possible, exact = answer.status != "infeasible", True
    if not exact and feasible:
        return Solution(start, _levels(inst, start, gap, {}), feasible, exact)
    try:
        return _counted(inst, gap, start, effort, penalty, on_incumbent, possible=possible)
    except TooLarge:
        least = _least_clashes(inst, gap, start, possible=possible)
        return Solution(start, _levels(inst, start, gap, {"clashes": least}, penalty), feasible, exact=False)


def _with_most_staying(
    inst: Instance, gap: float, start: SpotOf, must: int, effort: Effort
) -> tuple[SpotOf, int]:
    """A start that has no clash and touches fewest, if it is found; and what touching costs at least.

    The most who can stay at home are few Booleans, and on a rack with room the rest is hung at once.
    """
    try:
        who = most_staying(inst, gap, effort)
    except TooLarge:
        return start, must
    must = max(must, who.least_handling)
    if (is_feasible(inst, start, gap) and inst.handling(start) == must) or not who.proved:
        return start, must
    other = construct(inst, gap, who.items)
    return (other if is_feasible(inst, other, gap) and inst.handling(other) == must else start), must


def _counted(
    inst: Instance,
    gap: float,
    start: SpotOf,
    effort: Effort,
    penalty: Penalty | None,
    on_incumbent: OnIncumbent,
    *,
    possible: bool,
) -> Solution:
    """Lexicographic: each level is solved, rounded, fixed, and only then the next one."""
    model = HangModel(inst, gap, counted=True, effort=effort)
    goals: list[tuple[str, cp_model.LinearExprT, int]] = []
    if inst.barred:
        barred = [model.stay[i] for i in sorted(inst.barred) if i in model.stay]
        goals.append(("left", cp_model.LinearExpr.sum(barred), 1))
    goals.append(("clashes", model.clash_count, 1))
    pending = inst.pending_at_home(gap)
    if pending:
        goals.append(("pairs that wait", count(model.clash), 1))
    if penalty is not None:
        goals.append(("trouble", weighted_clashes(model, penalty), 1))
    if inst.homes:
        goals.append(("touched", model.stays, -1))
    best, bounds = start, dict[str, int]()
    for name, expression, sign in goals:
        effort.say(f"fewest {name}")
        model.cp.minimize(sign * expression)
        model.hint(best)
        answer = solve(model.cp, effort)
        if answer.solved:
            # What is found for one level may be worse than the incumbent in those that come after it.
            best = min(best, model.read(answer), key=lambda one: _reached(inst, one, gap, penalty))
            on_incumbent(best, _levels(inst, best, gap, {}, penalty))
        if answer.bound is not None:
            bounds[name] = answer.bound if sign > 0 else inst.price_of_all + answer.bound
        if answer.value is None:
            break  # out of time: what follows is reported as not proved
        model.cp.add(sign * expression <= answer.value)
    bounds["clashes"] = max(bounds.get("clashes", 0), _least_clashes(inst, gap, best, possible=possible))
    return Solution(best, _levels(inst, best, gap, bounds, penalty), is_feasible(inst, best, gap))


def _least_clashes(inst: Instance, gap: float, best: SpotOf, *, possible: bool) -> int:
    """1 where it is proved that each assignment has a clash that leaves nobody behind, as ``best`` does.

    ``possible``: whether there may be one without clashes, nobody left behind and no pair pending.
    """
    return int(not (possible or left_behind(inst, best) or inst.pending_at_home(gap)))


def _reached(inst: Instance, spot_of: SpotOf, gap: float, penalty: Penalty | None) -> tuple[float, ...]:
    """What is the better the less it is, in order, pairs that wait included."""
    value = {level.name: level.value or 0 for level in _levels(inst, spot_of, gap, {}, penalty)}
    value["pairs that wait"] = inst.pending(spot_of, gap)
    order = ("left", "clashes", "pairs that wait", "trouble", "touched", "handling")
    return tuple(value.get(name, 0) for name in order)


def with_values(inst: Instance, found: Solution, gap: float, penalty: Penalty | None) -> Solution:
    """The assignment of ``found``, of another instance of the same items, as a solution of ``inst``."""
    levels = _levels(inst, found.spot_of, gap, {}, penalty)
    return replace(found, levels=levels, feasible=is_feasible(inst, found.spot_of, gap))


def is_feasible(inst: Instance, spot_of: SpotOf, gap: float) -> bool:
    """Whether no pair clashes of which one may be moved, and nobody is left at a barred home."""
    return inst.is_clash_free(spot_of, gap) and not left_behind(inst, spot_of)


def left_behind(inst: Instance, spot_of: SpotOf) -> int:
    """How many of the barred items stay at home."""
    return sum(spot_of[i] == inst.homes[i] for i in inst.barred)


def _levels(
    inst: Instance, spot_of: SpotOf, gap: float, bounds: dict[str, int], penalty: Penalty | None = None
) -> tuple[Level, ...]:
    """The levels' values, recomputed from the assignment; where no bound is known there is a trivial one."""
    clashes = inst.clashes(spot_of, gap)
    values = {"left": left_behind(inst, spot_of)} if inst.barred else {}
    values["clashes"] = len(clashes) - inst.pending(spot_of, gap)
    if values["clashes"] and penalty is not None:
        values["trouble"] = sum(penalty(math.floor(inst.gap(*pair) + EPS)) for pair in clashes)
    if inst.homes or inst.free_items:
        values["touched"] = inst.handling(spot_of)
    levels = []
    for name, value in values.items():
        # Known without a search: whoever has no home must be touched, and nothing counts less than none.
        least = len(inst.free_items) - len(inst.homes) if name == "touched" else 0
        bound = max(least, bounds.get(name, least))
        shown = "handling" if name == "touched" and inst.price else name
        levels.append(Level(name=shown, value=value, bound=bound, proved=value == bound))
    return tuple(levels)
