"""Near dates as a secondary objective: fewest neighbours due just past the gap, for emergences scatter."""

from __future__ import annotations

from collections.abc import Callable

from planner.engine.model import budget
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import NEAR_DATES, count_near_dates, near_dates, near_dates_level
from planner.engine.model.solver import Effort, solve_repeatably
from planner.engine.search.construct import construct


def fewest_near_dates(
    inst: Instance, start: SpotOf, gap: float, beyond: float, effort: Effort
) -> tuple[SpotOf, Level]:
    """The fewest neighbours of near dates, counted beyond ``beyond`` days, while all keep ``gap`` days.

    ``inst`` has no homes: who stays is pinned. Most racks have room enough to hang everybody far from near
    dates, which is found without the solver.
    """
    best, bound = start, 0
    if count_near_dates(inst, start, beyond):
        spread = construct(inst, max(gap, beyond + NEAR_DATES[-1]))
        if inst.is_clash_free(spread, gap):
            best = min(start, spread, key=lambda spot_of: count_near_dates(inst, spot_of, beyond))
    size = len(inst.open_nodes) * len({round(inst.dues[i] / EPS) for i in inst.free_items})
    if count_near_dates(inst, best, beyond) and size <= budget.SECONDARY_SOLVED:
        effort.say("fewest neighbours of near dates")
        model = HangModel(inst, gap, merge=False)
        model.cp.minimize(near_dates(model, beyond))
        model.hint(best)
        answer = solve_repeatably(model.cp, effort, budget.SECONDARY_SHARE * effort.clock.seconds)
        if answer.solved:
            best = min(best, model.read(answer), key=lambda spot_of: count_near_dates(inst, spot_of, beyond))
        bound = max(0, answer.bound or 0)
    return best, near_dates_level(inst, best, beyond, bound)


def fix_near_dates(gap: float, value: int) -> Callable[[HangModel], None]:
    """A restriction: at most ``value`` near dates beyond ``gap`` days; none for 0, where the gap says it."""

    def restrict(model: HangModel) -> None:
        if value:
            model.cp.add(near_dates(model, gap) <= value)

    return restrict
