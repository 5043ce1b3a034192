"""The widest smallest gap of an instance of any size, within the time and the memory there are."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import suppress

from planner.engine.antibandwidth.annealing import anneal
from planner.engine.antibandwidth.orderings import ordered_start
from planner.engine.antibandwidth.permutation_model import is_permutation
from planner.engine.capacity import largest_stable_by_cliques
from planner.engine.model import budget
from planner.engine.model.estimate import most_classes, terms_at_any_gap
from planner.engine.model.instance import SAME, Instance, SpotOf
from planner.engine.model.solver import Effort
from planner.engine.rounded import rounded
from planner.engine.search.bounds import widest_by_capacity
from planner.engine.search.construct import construct
from planner.engine.search.widest_gap import Widest, no_wider_than, widen
from planner.engine.within_budget import Budget


def affordable_widest(inst: Instance, effort: Effort) -> Widest:
    """The widest smallest gap found, with a proved bound.

    Notes
    -----
    Where the model by class would be too large, questions are asked of rounded dues: an arrangement found
    there is one here, and its gap is reckoned from the true dues; what is proved there bounds the gap here
    within the error of rounding. Then local search goes on with the true dues until the time is over.
    """
    search = Budget(inst, effort)
    if not search.allows_exact_search:
        return _Affordable(search).solve()
    if is_permutation(inst):  # then the models are others, and far smaller
        terms = 0.0 if len(inst.dues) <= budget.ANNEALING_MOST else math.inf
    else:
        terms = terms_at_any_gap(inst, search.classes)
    wide = None
    if terms <= search.terms:
        with suppress(MemoryError), search.part(search.exact_share(terms)) as most:
            wide = widen(inst, construct(inst, 1), most)
    return wide if wide and wide.proved else _Affordable(search).solve(wide)


class _Affordable:
    def __init__(self, search: Budget):
        self.search, self.inst, self.effort = search, search.inst, search.effort
        self.coarse = search.coarse()
        self.best = search.dealt()
        self.gap = self.inst.smallest_gap(self.best)
        free = [self.inst.dues[i] for i in self.inst.free_items]
        self.bound = widest_by_capacity(free, largest_stable_by_cliques(self.inst))

    def solve(self, wide: Widest | None = None) -> Widest:
        """``wide``: what is known already, by which all but local search is done."""
        steps = [self.begin, self.formulas, self.ask_rounded, self.improve]
        if wide is not None:
            self.best, self.gap, self.bound = wide.spot_of, wide.gap, min(wide.bound, self.bound)
            steps = steps[-1:]
        for step in steps:
            if self.gap < self.bound - SAME and self.effort.clock.left > 0:
                with suppress(MemoryError):  # then there is the best found before
                    step()
        reached = self.gap >= self.bound - SAME
        return Widest(self.best, self.gap, self.gap if reached else self.bound)

    def keep(self, found: SpotOf) -> bool:
        """Whether that is a wider gap than before."""
        gap = self.inst.smallest_gap(found)
        if gap <= self.gap:
            return False
        self.best, self.gap = found, gap
        return True

    def begin(self) -> None:
        self.keep(self.search.constructed(self.coarse, 1, self.best))
        full = is_permutation(self.inst) and not self.inst.pinned
        edges = self.inst.graph.number_of_edges() + len(self.inst.graph)
        if full and self.search.allows(budget.ORDERED_EDGE * edges):
            clock = self.effort.clock
            self.keep(ordered_start(self.inst, lambda: clock.left <= 0))

    def formulas(self) -> None:
        if self.search.allows_cover:
            with self.search.part(budget.STABILITY_SHARE) as effort:
                self.bound = min(self.bound, no_wider_than(self.inst, effort))

    def ask_rounded(self) -> None:
        search = self.search
        if not search.allows_cover:
            return
        classes = min(most_classes(self.inst, search.affordable_now), budget.CONSTRUCTED_CLASSES)
        if classes < budget.ROUNDED_CLASSES:
            return
        near = rounded(self.inst, classes)
        with search.part(budget.ROUNDED_SHARE) as effort:
            wide = widen(near.inst, construct(near.inst, 1), effort)
        self.keep(wide.spot_of)
        self.bound = min(self.bound, wide.bound + near.error)

    def improve(self) -> None:
        """Local search with the true dues, for a gap that is wider by less and less after each failure."""
        if not self.search.allows_repair:
            return
        step, failures = budget.WIDENING_STEP, 0
        local = self._annealed if is_permutation(self.inst) else self._repaired
        for run in self.search.while_time():
            if self.gap >= self.bound - SAME:
                return
            top = self.bound if math.isfinite(self.bound) else 1 + max(self.inst.dues) - min(self.inst.dues)
            days = self.gap + max(budget.WIDENING_LEAST, step * (top - self.gap))
            self.effort.say(f"smallest gap {self.gap:g} days; trying {days:g}")
            if self._wider(local, days, run):
                failures = 0
                continue
            failures += 1
            step = step / 2 if step * (top - self.gap) > budget.WIDENING_LEAST else budget.WIDENING_STEP

    def _wider(self, local: Callable[[float, SpotOf, int], SpotOf], days: float, run: int) -> bool:
        start = self.search.fewer(days, self.best, self.search.constructed(self.coarse, days, self.best))
        return self.keep(local(days, start, run))

    def _repaired(self, days: float, start: SpotOf, run: int) -> SpotOf:
        return self.search.repaired(days, start, run)

    def _annealed(self, days: float, start: SpotOf, run: int) -> SpotOf:
        items = len(self.inst.dues)
        if items > budget.ANNEALING_MOST:
            return self._repaired(days, start, run)
        clock, seed = self.effort.clock, self.effort.seed + 1000 * run
        return anneal(self.inst, days, start, seed, budget.ANNEALING_EACH * items, lambda: clock.left <= 0)
