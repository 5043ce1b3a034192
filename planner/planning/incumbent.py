"""The incumbent as a whole plan, reported now and then: what is left where a search does not end."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from planner.engine.model import budget
from planner.engine.model.instance import SpotOf
from planner.engine.model.level import Level
from planner.engine.search.lexicographic import OnIncumbent
from planner.engine.search.reservations import Reservations
from planner.planning.plan_builder import PlanBuilder
from planner.planning.problem.season_problem import SeasonProblem
from planner.planning.relaxation import no_better_than
from planner.season import Plan


class IncumbentReporter:
    """Reports plans to ``on_incumbent``, as seldom as takes a small share of the time; None: never."""

    def __init__(self, on_incumbent: Callable[[Plan], None] | None, pupae: int):
        self.on_incumbent = on_incumbent
        self.next = time.monotonic() + (budget.INCUMBENT_FIRST if pupae < budget.INCUMBENT_AT_ONCE else 0.0)

    def callback(
        self,
        builder: PlanBuilder,
        problem: SeasonProblem,
        settings: Mapping[str, float],
        *,
        claiming: bool = True,
    ) -> OnIncumbent:
        """A callback that makes a plan of an assignment for ``problem``, and reports it where that is due.

        ``claiming``: whether what is proved for ``problem`` is proved for what was asked.
        """

        def report(
            spot_of: SpotOf, levels: Iterable[Level], reservations: Reservations | None = None
        ) -> None:
            began = time.monotonic()
            if self.on_incumbent is None or began < self.next:
                return
            plan, stuck = builder.plan(problem, spot_of, levels, reservations, settings)
            if not stuck:  # else it cannot be done
                self.on_incumbent(
                    plan if claiming else replace(plan, proof=tuple(no_better_than(plan.proof, [])))
                )
            ended = time.monotonic()
            self.next = ended + (ended - began) / budget.INCUMBENT_SHARE

        return report
