"""Whether an instance has an assignment without clashes: a yes-or-no question to the model."""

from __future__ import annotations

from planner.engine.explain.counting import too_many
from planner.engine.model import budget
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Effort, solve
from planner.engine.search.construct import construct


def has_solution(
    inst: Instance,
    gap: float,
    effort: Effort,
    seconds: float = budget.CORE_QUESTION,
    whole: Instance | None = None,
) -> bool | None:
    """Whether an assignment without clashes exists in which nobody is left behind; None: not found out.

    Parameters
    ----------
    gap
        Days.
    seconds
        For the model, which is asked only where counting proves nothing and the constructed assignment has
        clashes.
    whole
        An instance on the same nodes, whose cover of the neighbour pairs is made once for all its questions.
    """
    if not inst.free_items:
        return True
    if effort.clock.left <= 0:
        return None
    if too_many(inst, gap):
        return False
    start = construct(inst, gap) if len(inst.open_nodes) >= len(inst.free_items) else None
    if start and inst.is_clash_free(start, gap) and all(start[i] != inst.homes[i] for i in inst.barred):
        return True
    try:
        status = solve(
            HangModel(inst, gap, whole.cover if whole else None, effort=effort).cp, effort, seconds
        ).status
    except TooLarge:
        return None
    return {"optimal": True, "feasible": True, "infeasible": False}.get(status)
