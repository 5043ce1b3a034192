"""Restrictions on a model that keep the levels before from getting worse."""

from __future__ import annotations

from collections.abc import Callable

from planner.engine.model.cp_sat import cp_model
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.penalties import Penalty, count, weighted_clashes
from planner.engine.search.lexicographic import Solution


def fix_touched(inst: Instance, touched: int) -> Callable[[HangModel], None]:
    """A restriction: moving those who leave their home costs no more than ``touched``."""

    def restrict(model: HangModel) -> None:
        need = inst.price_of_all - touched
        if need > sum(map(inst.price_of, model.stay)):
            model.cp.add_bool_or([])  # more should stay than can at this gap: impossible
        elif need > 0:
            model.cp.add(model.stays >= need)

    return restrict


def fix_levels(inst: Instance, solution: Solution, penalty: Penalty | None) -> Callable[[HangModel], None]:
    """A restriction: no more left behind, clashing, pending or handled than by ``solution``, nor worse."""
    reached = {level.name: int(level.value or 0) for level in solution.levels}

    def restrict(model: HangModel) -> None:
        if model.counted:
            barred = [model.stay[i] for i in sorted(inst.barred) if i in model.stay]
            model.cp.add(cp_model.LinearExpr.sum(barred) <= reached.get("left", 0))
            model.cp.add(model.clash_count <= reached["clashes"])
            if inst.pending_at_home(model.gap):
                pairs = inst.count_clashes(solution.spot_of, model.gap)
                model.cp.add(count(model.clash) <= pairs)
            if penalty is not None and "trouble" in reached:
                model.cp.add(weighted_clashes(model, penalty) <= reached["trouble"])
        fix_touched(inst, inst.handling(solution.spot_of))(model)

    return restrict
