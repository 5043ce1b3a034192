"""What a search may cost: its time in parts, and what is made of an instance within them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cached_property
from itertools import count

from planner.engine.model import budget
from planner.engine.model.estimate import affordable_terms, construction_seconds, terms_at
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.solver import Clock, Effort
from planner.engine.rounded import Rounded, rounded
from planner.engine.search.construct import construct
from planner.engine.search.repair import repair


class Budget:
    """The budget of one `arrange`, by which steps that cannot be ended early are judged."""

    def __init__(self, inst: Instance, effort: Effort):
        self.inst, self.effort, self.seconds = inst, effort, effort.clock.seconds
        self.classes = len(set(inst.dues))

    @property
    def terms(self) -> float:
        """The most terms of a model that is made."""
        return max(budget.TERMS_LEAST, affordable_terms(self.seconds, self.effort.memory))

    @property
    def affordable_now(self) -> float:
        """The most terms on this machine as busy as it is; squared, for it may get busier meanwhile."""
        return self.terms / self.effort.clock.slowness**2

    def allows_often(self, seconds: float) -> bool:
        """Whether a step that takes so many seconds, and cannot be ended early, may be begun at any time."""
        return seconds <= max(budget.STEP_LEAST, budget.STEP_SHARE * self.seconds)

    def allows(self, seconds: float) -> bool:
        """Whether such a step may be begun now."""
        left = self.effort.clock.left
        return self.effort.clock.slowness * seconds <= max(budget.STEP_LEAST, budget.STEP_LEFT * left)

    def counted_terms(self, inst: Instance, gap: float) -> float:
        """The terms of a model in which clashes are counted, in terms that take as long as others."""
        return budget.COUNTED_TERM * terms_at(inst, gap)

    def exact_share(self, terms: float) -> float:
        """What share of the time a search with models of so many terms has: of large ones one may be late."""
        return budget.EXACT_SHARE if terms > budget.TERMS_LEAST else 1.0

    @property
    def allows_cover(self) -> bool:
        """Whether cliques are sought."""
        return self.allows(self._covering)

    @cached_property
    def _covering(self) -> float:
        """About how long the search for cliques takes, in seconds of one core."""
        degrees = [degree for _, degree in self.inst.graph.degree]
        grown = budget.COVERED_EDGE * sum(degrees) / 2
        listed = budget.COVERED_SQUARE * sum(degree**2 for degree in degrees)
        return max(budget.COVERED_NODE * len(degrees), grown + listed)

    @property
    def allows_exact_search(self) -> bool:
        """Whether for each question a start is constructed with the true dues, and cliques are sought."""
        start = construction_seconds(len(self.inst.graph), self.classes)
        return self.allows_often(start) and self.allows_cover

    @property
    def allows_repair(self) -> bool:
        """Whether local search is begun, on so many nodes and classes."""
        few = self.classes <= budget.REPAIR_CLASSES
        return few and self.allows(budget.REPAIRED_NODE * len(self.inst.graph))

    def coarse(self) -> Rounded:
        """The instance with as many different dues as the construction of starts has time for."""
        classes, nodes = min(self.classes, budget.CONSTRUCTED_CLASSES), len(self.inst.graph)
        most = max(budget.STEP_LEAST, budget.COARSE_SHARE * self.seconds)
        while classes > 1 and construction_seconds(nodes, classes) > most:
            classes = classes * 2 // 3
        return rounded(self.inst, classes)

    def dealt(self) -> SpotOf:
        """A start for which there is always time: items on open nodes as both are listed."""
        free = zip(self.inst.free_items, self.inst.open_nodes, strict=False)
        return {**self.inst.pinned, **dict(free)}

    @contextmanager
    def part(self, share: float) -> Iterator[Effort]:
        """The effort for a share of the time left, which ends when the whole does."""
        whole = self.effort.clock
        clock = Clock(share * whole.left, lambda: whole.interrupted)
        try:
            yield replace(self.effort, clock=clock)
        finally:
            if clock.interrupted:
                whole.interrupt()

    def repaired(self, gap: float, start: SpotOf, run: int) -> SpotOf:
        """One run of local search, each with a seed of its own."""
        return repair(self.inst, gap, start, replace(self.effort, seed=self.effort.seed + 1000 * run))

    def fewer(self, gap: float, one: SpotOf, other: SpotOf) -> SpotOf:
        """Which of the two has fewer clashes; of equals the first."""
        return other if self.inst.count_clashes(other, gap) < self.inst.count_clashes(one, gap) else one

    def constructed(self, coarse: Rounded, gap: float, otherwise: SpotOf) -> SpotOf:
        """A start with few clashes at that gap, if there is time for one."""
        if not self.allows(construction_seconds(len(self.inst.graph), len(set(coarse.inst.dues)))):
            return otherwise
        return construct(coarse.inst, gap + coarse.error)

    def while_time(self) -> Iterator[int]:
        """The numbers of runs, as long as there is time."""
        for run in count():
            if self.effort.clock.left <= 0:
                return
            yield run
