"""What is sought once nobody clashes: room for those to come, wide gaps, short yarn, little carrying."""

from __future__ import annotations

from dataclasses import replace

from planner.plan.ahead import Room, reserve, room_level
from planner.plan.carry import carrying_of
from planner.plan.close import close_level, keep_close
from planner.plan.counting import NEAR_BY
from planner.plan.instance import Instance, SpotOf
from planner.plan.polish import carrying_level, widest_level
from planner.plan.reached import keep_settled
from planner.plan.settle import Keep, Settled, Worry, settle
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
    if widest:
        spot_of, wide = widest_level(rest, spot_of, effort, None)
        again = settle(rest, _floor_gap(wide.value, inst, days), effort)
        spot_of = again.spot_of
        levels = [x for x in levels if x.name not in ("touched", "handling")] + [wide, again.touched]
    else:
        spot_of, wide = widest_level(rest, spot_of, effort, rest.handling(spot_of))
        levels = [*levels, wide]
    keep(spot_of, levels, room)
    least = max(days, min(_floor_gap(wide.value, inst, days), rest.smallest_gap(spot_of)))
    # Pairs of which both stay are settled; the others may hang farther from near dates.
    moving = _only_movers(rest, spot_of)
    spot_of, close = close_level(moving, spot_of, least, days, effort)
    levels = [*levels, close]
    keep(spot_of, levels, room)
    if not close.value:
        least = max(least, days + NEAR_BY[-1])
    hold_close = keep_close(days, int(close.value or 0))
    if case.along:
        spot_of, length = shortest_level(moving, spot_of, least, case.along, effort, hold_close)
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


def _floor_gap(value: float | None, inst: Instance, days: float) -> float:
    """A level's gap as days to go on with: None (nobody has a neighbour) is more than all dates span."""
    if value is None:
        return max(days, max(inst.dues) - min(inst.dues) + 1)
    return value
