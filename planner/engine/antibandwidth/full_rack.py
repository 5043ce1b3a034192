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


def ask_full(
    inst: Instance, days: float, start: SpotOf, effort: Effort, tries: int
) -> tuple[SpotOf | None, bool]:
    """An assignment with a gap of ``days``, and whether it is proved that there is none.

    Parameters
    ----------
    start
        The assignment to begin with.
    tries
        How often this was asked in vain: each try has twice the work of the one before.

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
    question = _Question(inst, days, start, effort, tries)
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

    @property
    def work(self) -> float:
        """Seconds that the solver has at least."""
        return budget.PERMUTATION * 2.0**self.tries

    def annealed(self, run: int, stop: Callable[[], bool]) -> SpotOf:
        """One run of annealing; every run of every try has a seed of its own."""
        proposals = (budget.ANNEALING_EACH * len(self.inst.dues)) << self.tries
        seed = self.effort.seed + 1000 * self.tries + run
        return anneal(self.inst, self.days, self.start, seed, proposals, stop)

    def in_turn(self, model: PermutationModel) -> tuple[Answer | None, SpotOf]:
        """First annealing, then the solver if that has not found one."""
        try:
            near = self.annealed(0, lambda: self.effort.clock.left <= 0)
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
            near, fewest, run = self.start, len(self.inst.clashes(self.start, self.days)), 0
            try:
                while fewest and not over():
                    found = self.annealed(run, over)
                    if (clashes := len(self.inst.clashes(found, self.days))) < fewest:
                        near, fewest = found, clashes
                    elif found is self.start:  # too large to be annealed
                        break
                    once.set()
                    run += 1
            finally:
                once.set()
            if not fewest:
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
