"""Whether a gap is possible on a full rack: by annealing, which can answer yes, and by exact models."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from planner.engine.antibandwidth.annealing import anneal
from planner.engine.antibandwidth.half_gaps import is_impossible
from planner.engine.antibandwidth.permutation_model import PermutationModel
from planner.engine.model import budget
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.solver import Answer, Clock, Effort, Model, solve, solve_repeatably


def anneal_first(inst: Instance, start: SpotOf, most: float, effort: Effort) -> SpotOf:
    """The widest smallest gap after a short run of annealing, from which questions are asked."""
    proposals = budget.ANNEALING_FIRST * len(inst.dues)
    gap, clock = inst.smallest_gap(start), effort.clock
    if gap >= most:  # also where nobody has a neighbour
        return start
    try:
        found = anneal(inst, gap, start, effort.seed, proposals, lambda: clock.left <= 0, most)
    except KeyboardInterrupt:
        clock.interrupt()
        return start
    return max(start, found, key=inst.smallest_gap)


def ask_full(
    inst: Instance, days: float, start: SpotOf, effort: Effort, tries: int, most: float = 0
) -> tuple[SpotOf, bool]:
    """The widest smallest gap found, and whether it is proved that none is as wide as ``days``.

    Parameters
    ----------
    start
        The assignment to begin with.
    tries
        How often this was asked in vain: each try has twice the work of the one before.
    most
        Days: no gap is wider. Annealing goes on beyond ``days`` as long as it has some work left.

    Notes
    -----
    With ``workers`` None both methods run side by side, else one after the other for a fixed amount of
    work, so that the same is found every time.
    """
    if not inst.clashes(start, days):
        return start, False
    question = _Question(inst, days, start, effort, tries, max(days, most))
    return question.side_by_side() if effort.workers is None else question.in_turn()


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
        """Seconds that the permutation model has at least."""
        return budget.PERMUTATION * 2.0**self.tries

    def answered(self, spot_of: SpotOf) -> bool:
        """Whether the gap asked for is had."""
        return not self.inst.clashes(spot_of, self.days)

    def annealed(self, start: SpotOf, run: int, stop: Callable[[], bool]) -> SpotOf:
        """One run of annealing from a gap just wider than that of ``start``; each has a seed of its own."""
        dues = self.inst.dues
        rank = (max(dues) - min(dues)) / max(1, len(dues) - 1)
        aim = min(self.days, self.inst.smallest_gap(start) + rank)
        seed = hash((self.effort.seed, self.days, self.tries, run))
        proposals = (budget.ANNEALING_EACH * len(dues)) << self.tries
        return anneal(self.inst, aim, start, seed, proposals, stop, self.most)

    def exactly(self, effort: Effort, solver: Callable[[Model], Answer]) -> tuple[SpotOf | None, bool]:
        """By halves of the gap, which say "no" soon or never; then by the dates, where the rack is small."""
        if is_impossible(self.inst, self.days, effort, budget.HALF_GAPS * 2.0**self.tries):
            return None, True
        model = PermutationModel(self.inst, self.days)
        model.hint(self.start)
        answer = solver(model.cp)
        return model.read(answer) if answer.solved else None, answer.status == "infeasible"

    def in_turn(self) -> tuple[SpotOf, bool]:
        """First annealing, then the exact models if that has not found one."""
        effort = self.effort
        try:
            found = self.annealed(self.start, 0, lambda: effort.clock.left <= 0)
        except KeyboardInterrupt:
            effort.clock.interrupt()
            return self.start, False
        near = max(self.start, found, key=self.inst.smallest_gap)
        if self.answered(near):
            return near, False
        exact, impossible = self.exactly(effort, lambda model: solve_repeatably(model, effort, self.work))
        return exact or near, impossible

    def side_by_side(self) -> tuple[SpotOf, bool]:
        """The solver on one core and annealing on another, until one has answered or both had their share.

        One worker of the solver is stronger here than several. Annealing begins afresh while it is busy.
        """
        effort, share = self.effort, Clock(self.work)
        ended, once = threading.Event(), threading.Event()

        def over() -> bool:
            return ended.is_set() or effort.clock.left <= 0

        def search() -> SpotOf:
            near, run = self.start, 0
            try:
                while not self.answered(near) and not over():
                    found = self.annealed(near, run, over)
                    if found is near:  # too large to be annealed
                        break
                    near = max(near, found, key=self.inst.smallest_gap)
                    once.set()
                    run += 1
            finally:
                once.set()
            if self.answered(near):
                ended.set()
            return near

        def enough() -> bool:
            return over() or (once.is_set() and share.left <= 0)

        with ThreadPoolExecutor(1) as pool:
            annealing = pool.submit(search)
            try:
                asked = replace(effort, clock=Clock(effort.clock.left, enough), workers=1)
                exact, impossible = self.exactly(asked, lambda model: solve(model, asked))
                if asked.clock.interrupted and not enough():
                    effort.clock.interrupt()  # by Ctrl-C
            finally:
                ended.set()  # given up or not, the annealing must not go on
            near = annealing.result()
            return near if exact is None or self.answered(near) else exact, impossible
