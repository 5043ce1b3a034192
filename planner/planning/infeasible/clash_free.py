"""Whether a changed season has a plan without clashes: the question that every way out is tried with."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.emergence import Forecast, forecasts
from planner.engine.explain.counting import too_many
from planner.engine.explain.feasibility import has_solution
from planner.engine.model import budget
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Effort
from planner.engine.model.sub_instance import feasibility_question, without_pending_pairs
from planner.planning.infeasible.reasons import pinned_pairs
from planner.planning.problem.season_problem import SeasonProblem, season_problem
from planner.season import Season


@dataclass(frozen=True)
class InfeasibleSeason:
    """A season that has no plan without clashes, at a moment and a gap (or risk, then ``days`` is 0)."""

    season: Season
    on: datetime
    days: float
    risk: float | None
    effort: Effort
    rehang: bool = False  # whether those that hang already were allowed to move
    also_pinned: tuple[str, ...] = ()
    wait: bool = False  # whether some were allowed to wait on their lids

    def now(self) -> dict[str, Forecast]:
        """The forecasts of the season."""
        return forecasts(self.season, self.on)

    def problem(self, season: Season, now: dict[str, Forecast], *, rehang: bool = False) -> SeasonProblem:
        """The problem of a changed season, under the same choices."""
        return season_problem(
            season, now, self.risk, at=self.on, rehang=self.rehang or rehang, also_pinned=self.also_pinned
        )

    def excluded(self, season: Season, now: dict[str, Forecast]) -> bool:
        """Whether counting alone proves that a season has no plan without clashes; no search."""
        return too_many(self._asked(self.problem(season, now)), self.days)

    def _asked(self, problem: SeasonProblem) -> Instance:
        return without_pending_pairs(feasibility_question(problem.instance))

    def possible(self, season: Season, now: dict[str, Forecast]) -> bool | None:
        """Whether a season has a plan without clashes that leaves nobody behind; None: not found out."""
        if self.effort.clock.left <= 0:
            return None
        return self.solvable(self.problem(season, now), self.days)

    def solvable(self, problem: SeasonProblem, days: float) -> bool | None:
        """The same of a problem that was made already, and of another gap."""
        if self.effort.clock.left <= 0:
            return None
        if pinned_pairs(problem, days):
            return False
        return has_solution(self._asked(problem), days, self.effort, budget.WAY_OUT_QUESTION)


def first_possible(
    values: Sequence[float], works: Callable[[float], bool | None]
) -> tuple[float | None, bool]:
    """The first of ascending values that works, and whether it is proved that the ones before do not.

    If a value works, so do all after it. None: the last does not work (True: proved).
    """
    if not values or (last := works(values[-1])) is not True:
        return None, not values or last is False
    low, high, sure = 0, len(values) - 1, True
    step = 1
    while low < high:
        middle = min(low + step - 1, (low + high) // 2)  # small ones first: they are asked in less time
        answer = works(values[middle])
        if answer is True:
            high = middle
        else:
            sure = sure and answer is False
            low, step = middle + 1, 2 * step
    return values[high], sure
