"""Whether a gap is possible on a full rack: by annealing, which can answer yes, and by the exact model."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from planner.engine.antibandwidth.annealing import anneal
from planner.engine.antibandwidth.permutation_model import PermutationModel
from planner.engine.model import budget
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.solver import Answer, Clock, Effort, solve, solve_repeatably


def anneal_first(inst: Instance, start: SpotOf, most: float, effort: Effort) -> SpotOf:
    """The assignment with the widest smallest gap after a short run of annealing, to ask questions from."""
    proposals = budget.ANNEALING_FIRST * len(inst.dues)
    gap, stop = inst.smallest_gap(start), lambda: effort.clock.left <= 0
    try:
        found = anneal(inst, gap, start, effort.seed, proposals, stop, most)
    except KeyboardInterrupt:
        effort.clock.interrupt()
        return start
    return max(start, found, key=inst.smallest_gap)


def ask_full(
    inst: Instance, days: float, start: SpotOf, effort: Effort, tries: int, most: float = 0
) -> tuple[SpotOf | None, bool]:
    """An assignment with a gap of ``days``, and whether it is proved that there is none.

    Parameters
    ----------
    start
        The assignment to begin with; the widest gap found so far is its own.
    tries
        How often this was asked in vain: each try has twice the work of the one before.
    most
        Days, the widest gap that may be possible: annealing goes on to it.

    Returns
    -------
    The best assignment found, perhaps of a smaller gap than asked for, or None; whether none exists.

    Notes
    -----
    With ``workers`` None both methods run side by side, else one after the other for a fixed amount of
    work, so that the same is found every time.
    """
    if not inst.clashes(start, days):
        return start, False
    model = PermutationModel(inst, days)
    model.hint(start)
    question = _Question(inst, days, start, effort, tries, max(days, most))
    answer, near = question.side_by_side(model) if effort.workers is None else question.in_turn(model)
    if answer is None or not inst.clashes(near, days):
        return near, False
    return (model.read(answer) if answer.solved else near), answer.status == "infeasible"


@dataclass(frozen=True)
class _Question:
    inst: Instance
    days: float
    start: SpotOf
    effort: Effort
    tries: int
    most: float

    @property
    def work(self) -> float:
        """Seconds that the solver has at least."""
        return budget.PERMUTATION * 2.0**self.tries

    def annealed(self, start: SpotOf, run: int, stop: Callable[[], bool]) -> SpotOf:
        """One run of annealing from a gap just wider than that of ``start``; each has a seed of its own."""
        dues = self.inst.dues
        rank = (max(dues) - min(dues)) / max(1, len(dues) - 1)
        aim = min(self.days, self.inst.smallest_gap(start) + rank)
        seed = hash((self.effort.seed, self.days, self.tries, run))
        proposals = (budget.ANNEALING_EACH * len(dues)) << self.tries
        return anneal(self.inst, aim, start, seed, proposals, stop, self.most)

    def in_turn(self, model: PermutationModel) -> tuple[Answer | None, SpotOf]:
        """First annealing, then the solver if that has not found one."""
        try:
            near = self.annealed(self.start, 0, lambda: self.effort.clock.left <= 0)
        except KeyboardInterrupt:
            self.effort.clock.interrupt()
            return None, self.start
        if not self.inst.clashes(near, self.days):
            return None, near
        return solve_repeatably(model.cp, self.effort, self.work), near

    def side_by_side(self, model: PermutationModel) -> tuple[Answer, SpotOf]:
        """The solver on one core and annealing on another, until one has answered or both had their share.

        One worker of the solver is stronger here than several. Annealing begins afresh while it is busy.
        """
        effort, share = self.effort, Clock(self.work)
        answered, once = threading.Event(), threading.Event()

        def over() -> bool:
            return answered.is_set() or effort.clock.left <= 0

        def search() -> SpotOf:
            near, run = self.start, 0
            try:
                while self.inst.clashes(near, self.days) and not over():
                    found = self.annealed(near, run, over)
                    if found is near:  # too large to be annealed
                        break
                    near = max(near, found, key=self.inst.smallest_gap)
                    once.set()
                    run += 1
            finally:
                once.set()
            if not self.inst.clashes(near, self.days):
                answered.set()
            return near

        def enough() -> bool:
            return over() or (once.is_set() and share.left <= 0)

        with ThreadPoolExecutor(1) as pool:
            annealing = pool.submit(search)
            try:
                clock = Clock(effort.clock.left, enough)
                answer = solve(model.cp, replace(effort, clock=clock, workers=1))
                if clock.interrupted and not enough():
                    effort.clock.interrupt()  # by Ctrl-C
            finally:
                answered.set()  # given up or not, the annealing must not go on
            return answer, annealing.result()
