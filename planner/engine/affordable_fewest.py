"""The fewest clashes of an instance of any size, within the time and the memory there are."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from planner.engine.capacity import fewest_by_capacity, largest_stable_by_cliques
from planner.engine.model import budget
from planner.engine.model.instance import Instance, Node, SpotOf
from planner.engine.model.solver import Effort
from planner.engine.rounded import Rounded, rounded
from planner.engine.search.bounds import stability_bound
from planner.engine.search.lexicographic import solve_lexicographic
from planner.engine.within_budget import Budget


@dataclass(frozen=True)
class Fewest:
    """An assignment, and how many clashes no other goes below; pairs of two pinned items aside."""

    spot_of: SpotOf
    bound: int


def affordable_fewest(inst: Instance, gap: float, effort: Effort) -> Fewest:
    """The assignment with the fewest clashes found, with a proved bound.

    Notes
    -----
    Where the model by class would be too large, it is made of rounded dues: with a gap that is longer by the
    error of rounding for an arrangement, with one that is shorter by it for the bound. Local search with the
    true dues goes before and after.
    """
    search = Budget(inst, effort)
    found = None
    if search.allows_exact_search and (terms := search.counted_terms(inst, gap)) <= search.terms:
        with suppress(MemoryError), search.part(search.exact_share(terms)) as most:
            solution = solve_lexicographic(inst, gap, most)
            found = Fewest(solution.spot_of, int(solution.level("clashes").bound or 0))
            if solution.level("clashes").proved:
                return found
    return _Affordable(search, gap).solve(found)


class _Affordable:
    def __init__(self, search: Budget, gap: float):
        self.search, self.inst, self.effort, self.gap = search, search.inst, search.effort, gap
        self.best, self.bound = search.dealt(), self._fewest(largest_stable_by_cliques(self.inst))

    @property
    def clashes(self) -> int:
        return self.inst.count_clashes(self.best, self.gap)

    def solve(self, found: Fewest | None = None) -> Fewest:
        """``found``: what is known already, by which all but local search is done."""
        steps = [self.begin, self.formula, self.ask_rounded, self.improve]
        if found is not None:
            self.best, self.bound = found.spot_of, max(found.bound, self.bound)
            steps = steps[-1:]
        for step in steps:
            if self.clashes > self.bound and self.effort.clock.left > 0:
                with suppress(MemoryError):  # then there is the best found before
                    step()
        return Fewest(self.best, self.bound)

    def keep(self, found: SpotOf) -> None:
        self.best = self.search.fewer(self.gap, self.best, found)

    def begin(self) -> None:
        self.keep(self.search.constructed(self.search.coarse(), self.gap, self.best))
        if self.search.allows_repair:
            self.keep(self.search.repaired(self.gap, self.best, 0))

    def formula(self) -> None:
        if self.search.allows_cover:
            with self.search.part(budget.STABILITY_SHARE) as effort:
                stable = stability_bound(self.inst.open_nodes, self._open_cliques(), effort)
            self.bound = max(self.bound, self._fewest(stable))

    def _fewest(self, stable: int) -> int:
        return fewest_by_capacity([self.inst.dues[i] for i in self.inst.free_items], self.gap, stable)

    def _open_cliques(self) -> list[list[Node]]:
        pinned_at = self.inst.pinned_at
        return [[node for node in clique if node not in pinned_at] for clique in self.inst.cover]

    def ask_rounded(self) -> None:
        near = self._affordable_rounding() if self.search.allows_cover else None
        if near is None:
            return
        with self.search.part(budget.ROUNDED_SHARE) as effort:
            self.keep(solve_lexicographic(near.inst, self.gap + near.error, effort).spot_of)
        enough = self.effort.clock.left >= budget.ROUNDED_BOUND_LEFT * self.search.seconds
        if enough and self.clashes > self.bound and self.gap > near.error:
            with self.search.part(budget.ROUNDED_BOUND_SHARE) as effort:
                least = solve_lexicographic(near.inst, self.gap - near.error, effort).level("clashes").bound
                self.bound = max(self.bound, int(least or 0))

    def _affordable_rounding(self) -> Rounded | None:
        classes = min(self.search.classes, budget.CONSTRUCTED_CLASSES)
        terms = self.search.affordable_now
        while classes >= budget.ROUNDED_CLASSES:
            near = rounded(self.inst, classes)
            if self.search.counted_terms(near.inst, self.gap + near.error) <= terms:
                return near
            classes = classes * 2 // 3
        return None

    def improve(self) -> None:
        for run in self.search.while_time() if self.search.allows_repair else ():
            if self.clashes <= self.bound:
                return
            self.keep(self.search.repaired(self.gap, self.best, run + 1))
