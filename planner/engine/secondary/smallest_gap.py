"""The smallest gap of a season's plan, where the widest is asked for."""

from __future__ import annotations

import math

from planner.engine.model.instance import SAME, Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort
from planner.engine.search.widest_gap import widen


def widest_level(inst: Instance, start: SpotOf, effort: Effort) -> tuple[SpotOf, Level]:
    """The assignment with the widest smallest gap found, however many are moved, and its level."""
    wide = widen(inst, start, effort)
    return wide.spot_of, gap_level(wide.gap, wide.bound)


def gap_level(gap: float, bound: float) -> Level:
    """The level of a smallest gap and what it can be at most, infinite where nothing is known of that."""
    proved = gap >= bound - SAME
    value, most = (None if math.isinf(days) else days for days in (gap, gap if proved else bound))
    return Level(name="smallest_gap", value=value, bound=most, proved=proved)
