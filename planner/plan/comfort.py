"""What is sought once nobody clashes: room for those to come, wide gaps, short yarn, little carrying."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.plan.ahead import Room, reserve, room_level
from planner.plan.carry import carrying_of
from planner.plan.close import close_level, close_pairs, keep_close
from planner.plan.counting import NEAR_BY
from planner.plan.instance import Instance, SpotOf
from planner.plan.measured import smallest_gap
from planner.plan.polish import carrying_level, widest_level
from planner.plan.reached import keep_settled
from planner.plan.settle import Keep, Settled, Worry, good, settle
from planner.plan.shorten import cut_off, shortest_level
from planner.plan.situation import Situation
from planner.plan.solving import Effort
from planner.season import Level


def comfort(
    case: Situation,
    settled: Settled,
    levels: list[Level],
    days: float,
    worry: Worry | None,
    widest: bool,
    effort: Effort,
    keep: Keep,
) -> tuple[SpotOf, list[Level], Room | None]:
    """Everybody's place, all levels, and the room kept; nobody more is touched, unless ``widest``.

    ``keep`` hears of what is reached on the way.
    """
    inst, spot_of, room = case.instance, settled.spot_of, None
    keep(spot_of, levels)
    if inst.coming or not settled.clean:
        hold = keep_settled(inst, settled, worry)
        room = room_level(inst, spot_of, days, hold, effort, counted=not settled.clean)
        spot_of, levels = room.spot_of, [*levels, *room.levels]
        keep(spot_of, levels, room)
    if not case.movable or not settled.clean:
        return spot_of, levels, room
    rest = inst if room is None else reserve(inst, room, days)
    effort.say("widest smallest gap")
    spot_of, wide = widest_level(rest, spot_of, effort, None if widest else rest.handling(spot_of))
    if widest:
        spot_of, fewest = _fewest_touched(inst, rest, spot_of, days, effort)
        levels = [x for x in levels if x.name != fewest.name]
    levels = [*levels, _of_all(wide, case, rest, spot_of, days)]
    levels = [*levels, fewest] if widest else levels
    keep(spot_of, levels, room)
    least = _gap_now(rest, spot_of, days)
    # Pairs of which both stay are settled; the others may hang farther from near dates.
    moving = _only_movers(rest, spot_of)
    spot_of, close = close_level(moving, spot_of, least, days, effort)
    levels = [*levels, _with_settled(close, inst, spot_of, days)]
    keep(spot_of, levels, room)
    if not close.value:
        least = max(least, days + NEAR_BY[-1])
    hold_close = keep_close(days, int(close.value or 0))
    if case.along:
        undated = case.undated.values()
        spot_of, length = shortest_level(moving, spot_of, least, case.along, effort, hold_close, undated)
        moving, levels = cut_off(moving, spot_of, case.along), [*levels, length]
        keep(spot_of, levels, room)
    carrying = carrying_of(case)
    spot_of, carried = carrying_level(moving, spot_of, least, carrying, effort, hold_close)
    # Those whose spot is kept for another after them are settled, but carried all the same.
    more = (carrying.total(inst, spot_of) - carrying.total(moving, spot_of)) / 10
    assert carried.value is not None
    assert carried.bound is not None
    carried = replace(carried, value=carried.value + more, bound=carried.bound + more)
    return spot_of, [*levels, carried], room


def _only_movers(inst: Instance, spot_of: SpotOf) -> Instance:
    """The same with everybody pinned who stays; who leaves its home does not go back."""
    staying = {i: node for i, node in inst.homes.items() if spot_of[i] == node}
    found = replace(inst.with_pinned(staying), homes={}, barred=frozenset())
    return found.with_open(found.open_nodes)


def _gap_now(inst: Instance, spot_of: SpotOf, days: float) -> float:
    """The gap reached, to go on with; where nobody has a neighbour more than all dates span."""
    return max(days, min(inst.smallest_gap(spot_of), max(inst.dues) - min(inst.dues) + 1))


def _fewest_touched(
    inst: Instance, rest: Instance, spot_of: SpotOf, days: float, effort: Effort
) -> tuple[SpotOf, Level]:
    """Touch no more than the widest gap takes; ``rest`` is ``inst`` with the room kept."""
    gap = _gap_now(rest, spot_of, days)
    again = settle(rest, gap, effort)
    found = [level.bound or 0 for level in again.levels if level.name in ("touched", "handling")]
    if good(rest, again.spot_of, gap):  # else there was no time for it
        spot_of = again.spot_of
    # Those whose spot is kept for another after them are settled, but touched all the same.
    settled = inst.handling(spot_of) - rest.handling(spot_of)
    value, bound = inst.handling(spot_of), max(found, default=0) + settled
    name = "handling" if inst.price else "touched"
    return spot_of, Level(name=name, value=value, bound=bound, proved=value == bound)


def _with_settled(close: Level, inst: Instance, spot_of: SpotOf, days: float) -> Level:
    """The level with the close pairs of which one may be moved, but is settled by what came before."""
    assert close.value is not None
    settled = close_pairs(inst, spot_of, days) - close.value
    return replace(close, value=close.value + settled, bound=(close.bound or 0) + settled)


def _of_all(wide: Level, case: Situation, rest: Instance, spot_of: SpotOf, days: float) -> Level:
    """The smallest gap of everybody; ``wide`` does not count pairs of which ``rest`` settles both."""
    settled = smallest_gap(case, spot_of, days, among=rest.pinned.keys())
    gap = smallest_gap(case, spot_of, days)
    if wide.bound is None and not wide.proved:
        return replace(wide, value=round(gap, 4))
    most = min(settled, math.inf if wide.bound is None else max(wide.bound, rest.smallest_gap(spot_of)))
    value, bound = (None if math.isinf(x) else round(x, 4) for x in (gap, most))
    return replace(wide, value=value, bound=bound, proved=value == bound)
