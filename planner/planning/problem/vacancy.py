"""The chance that a spot is free on a later evening: that whoever hangs there then has left it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from planner.emergence import Emergence, emergences
from planner.engine.model.instance import Node, SpotOf
from planner.planning.problem.season_problem import SeasonProblem


@dataclass(frozen=True)
class Vacancy:
    """Where everybody hangs once the plan is carried out, as of ``on``."""

    problem: SeasonProblem
    spot_of: SpotOf
    on: datetime

    @cached_property
    def _at(self) -> dict[Node, int]:
        return {node: item for item, node in self.spot_of.items()}

    @cached_property
    def _emergence(self) -> Mapping[str, Emergence | None]:
        season = self.problem.season
        return emergences(season, [season.pupa[name] for name in self.problem.ids], self.on)

    def chance(self, spot: Node, since: datetime) -> float:
        """The chance that nobody is on a spot any more, nor too near to it for two clips; rounded down.

        Of several who must have left, the chance of the least likely one.
        """
        found = 1.0
        for node in (spot, *self.problem.instance.excludes.get(spot, ())):
            if node in self._at:
                one = self._emergence[self.problem.ids[self._at[node]]]
                found = min(found, 0.0 if one is None else one.chance_dry_by(since))
        return math.floor(100 * found + 1e-9) / 100
