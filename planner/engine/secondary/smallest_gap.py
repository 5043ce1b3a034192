"""The smallest gap as a secondary objective: as wide as can be without touching more."""

from __future__ import annotations

import math

from planner.engine.model import budget
from planner.engine.model.instance import EPS, SAME, Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort
from planner.engine.search.bounds import possible_gaps
from planner.engine.search.construct import construct
from planner.engine.search.repair import repair
from planner.engine.search.widest_gap import widen
from planner.engine.secondary.fixed_levels import fix_touched


def widest_level(inst: Instance, start: SpotOf, effort: Effort, touched: int | None) -> tuple[SpotOf, Level]:
    """The assignment with the widest smallest gap found, and its level.

    ``touched``: handling may cost no more; None: however many are moved.
    """
    if touched is None:
        wide = widen(inst, start, effort)
    elif len(inst.open_nodes) * len({round(due / EPS) for due in inst.dues}) > budget.SECONDARY_SOLVED:
        start, gap = _constructed(inst, start, touched, effort)
        return start, gap_level(gap, math.inf)
    else:
        work = budget.SECONDARY_SHARE * effort.clock.seconds / 2
        wide = widen(inst, start, effort, work=work, restrict=fix_touched(inst, touched))
    return wide.spot_of, gap_level(wide.gap, wide.bound)


def gap_level(gap: float, bound: float) -> Level:
    """The level of a smallest gap and what it can be at most, infinite where nothing is known of that."""
    proved = gap >= bound - SAME
    value, most = (None if math.isinf(days) else days for days in (gap, gap if proved else bound))
    return Level(name="smallest_gap", value=value, bound=most, proved=proved)


def _constructed(inst: Instance, start: SpotOf, touched: int, effort: Effort) -> tuple[SpotOf, float]:
    """The same or a wider gap, as far as it is found without the solver; the gap as well."""
    gap = inst.smallest_gap(start)
    for wider in possible_gaps(inst.dues):
        if gap + EPS < wider < math.inf:
            found = construct(inst, wider)
            if len(inst.clashes(found, wider)) < budget.REPAIR_HOPEFUL * len(inst.dues):
                found = repair(inst, wider, found, effort)
            if not inst.is_clash_free(found, wider) or inst.handling(found) > touched:
                break
            start, gap = found, inst.smallest_gap(found)
    return start, gap
