"""Reservations: nodes for items to come, so that they can be hung later without touching anybody again."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from planner.engine.model import budget
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, TENTHS, Coming, Instance, Node, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import near_dates, near_dates_level
from planner.engine.model.solver import Effort, solve, solve_repeatably


@dataclass(frozen=True)
class Reservations:
    """Where everybody hangs, the nodes reserved (node, which of those to come), and the levels reached."""

    spot_of: SpotOf
    reserved: tuple[tuple[Node, int], ...]
    levels: tuple[Level, ...]


def reservation_level(
    inst: Instance,
    start: SpotOf,
    gap: float,
    restrict: Callable[[HangModel], None],
    effort: Effort,
    *,
    counted: bool,
) -> Reservations:
    """Reserve nodes for as many of those to come as can be, no level before getting worse.

    Parameters
    ----------
    gap
        Days.
    restrict
        Fixes the levels reached before.
    counted
        Whether ``start`` has clashes. Then near dates of those of today are solved for as well (level
        "close"), as no secondary objective follows.

    Notes
    -----
    Those of today may exchange their nodes. Of all ways to reserve as many nodes one is chosen that hangs
    them far from near dates, for the reservations are fixed in all levels that follow. One to come takes a
    node that may be free by then, which counts with its chance, and keeps ``gap`` days from its neighbours
    like everybody else.
    """
    reserved = _first_fit(inst, start, gap)
    total = sum(TENTHS * coming.count for coming in inst.coming)
    best, bounds = start, dict[str, int]()
    size = len(inst.coming) + len({round(due / EPS) for due in inst.dues})
    size *= len(inst.open_nodes)
    if size <= budget.SECONDARY_SOLVED or (
        size <= budget.RESERVATION_SOLVED and (counted or _expected(inst, reserved) < total)
    ):
        effort.say("room for those to come")
        model = HangModel(inst, gap, reserve=True, counted=counted, merge=False)
        restrict(model)
        goals = [("room", model.missing)]
        if size <= budget.SECONDARY_SOLVED:
            goals.append(("close", near_dates(model, gap, coming_too=not counted)))
        for name, expression in goals:
            model.cp.minimize(expression)
            model.hint(best, reserved)
            if name == "room":
                answer = solve(model.cp, effort, budget.RESERVATION_SHARE * effort.clock.left)
            else:
                answer = solve_repeatably(model.cp, effort, budget.RESERVATION_CLOSE)
            if answer.bound is not None:
                bounds[name] = answer.bound
            if not answer.solved or answer.value is None:
                break
            best = model.read(answer)
            reserved = tuple(key for key, literal in model.reserved.items() if answer.on(literal))
            model.cp.add(expression <= answer.value)
    missing = (total - _expected(inst, reserved)) / TENTHS
    least = max(0, bounds.get("room", 0)) / TENTHS
    levels = [Level(name="room", value=missing, bound=least, proved=missing == least)] if inst.coming else []
    if counted:
        levels.append(near_dates_level(inst, best, gap, max(0, bounds.get("close", 0))))
    return Reservations(best, reserved, tuple(levels))


def _expected(inst: Instance, reserved: Iterable[tuple[Node, int]]) -> int:
    return sum(inst.chance(*key) for key in reserved)


def with_reservations(inst: Instance, reservations: Reservations, gap: float) -> Instance:
    """The same instance with the reserved nodes taken, and their neighbours at their distance.

    Whoever uses such a node until then stays where ``reservations`` puts it.
    """
    reserved = {node for node, _ in reservations.reserved}
    near = reserved.union(*(inst.excludes.get(node, ()) for node in reserved))
    reserved_beside: defaultdict[Node, list[tuple[float, int]]] = defaultdict(list)
    for node, k in reservations.reserved:
        for other in inst.graph[node]:
            reserved_beside[other].append((inst.coming[k].due, inst.coming[k].kind))
    before = {i: reservations.spot_of[i] for i in inst.free_items if reservations.spot_of[i] in near}
    rest = inst.with_pinned(before)
    rest = rest.with_open([node for node in rest.open_nodes if node not in near])
    return replace(
        rest,
        coming=(),
        reserved_beside={node: tuple(dict.fromkeys(those)) for node, those in reserved_beside.items()},
        reserved_gap=gap,
    )


def _first_fit(inst: Instance, spot_of: SpotOf, gap: float) -> tuple[tuple[Node, int], ...]:
    """First fit of those to come, earliest first, while everybody hangs as in ``spot_of``."""
    taken: defaultdict[Node, list[tuple[float, float]]] = defaultdict(list)  # node → from, until
    hung: dict[Node, list[tuple[float, int]]] = defaultdict(list)  # node → due and kind
    for item, node in spot_of.items():
        taken[node].append((-math.inf, inst.vacated_by(item)))
        hung[node].append((inst.dues[item], inst.kind(item)))
    nodes = [*inst.open_nodes, *(n for i, n in inst.pinned.items() if inst.vacated_by(i) < math.inf)]
    reserved: list[tuple[Node, int]] = []
    for k, coming in sorted(enumerate(inst.coming), key=lambda c: c[1].since):
        left = coming.count
        for node in nodes:
            if left and _fits(inst, coming, node, taken, hung, gap):
                reserved.append((node, k))
                taken[node].append((coming.since, coming.until))
                hung[node].append((coming.due, coming.kind))
                left -= 1
    return tuple(reserved)


def _fits(
    inst: Instance,
    coming: Coming,
    node: Node,
    taken: dict[Node, list[tuple[float, float]]],
    hung: dict[Node, list[tuple[float, int]]],
    gap: float,
) -> bool:
    for beside in (node, *inst.excludes.get(node, ())):
        for since, until in taken.get(beside, ()):
            if since < coming.until and coming.since < until - EPS:
                return False
    return not any(
        abs(due - coming.due) < gap - EPS or (kind, coming.kind) in inst.risky
        for other in inst.graph[node]
        for due, kind in hung.get(other, ())
    )
