"""Reservations: nodes for items to come, so that they can be hung later without touching anybody again."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from planner.engine.model import budget
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, TENTHS, Coming, Instance, Node, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort, solve


@dataclass(frozen=True)
class Reservations:
    """Where everybody hangs, the nodes reserved (node, which of those to come), and the levels reached."""

    spot_of: SpotOf
    reserved: tuple[tuple[Node, int], ...]
    levels: tuple[Level, ...]

    @property
    def missing(self) -> float:
        """The number of those to come without a node, as the level ``room`` counts them."""
        return sum(level.value or 0 for level in self.levels)


def reservation_level(
    inst: Instance,
    start: SpotOf,
    gap: float,
    restrict: Callable[[HangModel], None],
    effort: Effort,
    *,
    counted: bool,
    wanted: Collection[tuple[str, Node]] = (),
) -> Reservations:
    """Reserve nodes for as many of those to come as can be, no level before getting worse.

    Parameters
    ----------
    gap
        Days.
    restrict
        Fixes the levels reached before.
    counted
        Whether ``start`` has clashes.
    wanted
        (Name, node) of the reservations of the plan before, which are kept where that costs nothing.

    Notes
    -----
    Where all find a node beside ``start``, those are taken, with few beside them. Else those of today may
    exchange their nodes. One to come takes a node that may be free by then, which counts with its chance, and
    keeps ``gap`` days from its neighbours like everybody else.
    """
    total = inst.to_come
    reserved = first_fit(inst, start, gap, wanted, aside=True)
    if _expected(inst, reserved) < total:
        reserved = max(
            reserved, first_fit(inst, start, gap, wanted), key=lambda found: _expected(inst, found)
        )
    best, bound = start, 0
    size = len(inst.coming) + len({round(due / EPS) for due in inst.dues})
    size *= len(inst.open_nodes)
    if _expected(inst, reserved) < total and size <= budget.RESERVATION_SOLVED:
        effort.say("room for those to come")
        with suppress(TooLarge):
            model = HangModel(inst, gap, reserve=True, counted=counted, merge=False, effort=effort)
            restrict(model)
            model.cp.minimize(model.missing)
            model.hint(best, reserved)
            answer = solve(model.cp, effort, budget.RESERVATION_SHARE * effort.clock.left)
            bound = max(0, answer.bound or 0)
            if answer.solved and answer.value is not None:
                found = tuple(key for key, literal in model.reserved.items() if answer.on(literal))
                if _expected(inst, found) > _expected(inst, reserved):
                    best, reserved = model.read(answer), found
    missing = (total - _expected(inst, reserved)) / TENTHS
    least = bound / TENTHS
    return Reservations(
        best, reserved, (Level(name="room", value=missing, bound=least, proved=missing == least),)
    )


def _expected(inst: Instance, reserved: Iterable[tuple[Node, int]]) -> int:
    return sum(inst.chance(*key) for key in reserved)


def with_reservations(inst: Instance, reservations: Reservations, gap: float) -> Instance:
    """The same instance with the reserved nodes taken, and their neighbours at their distance.

    Whoever uses such a node until then stays where ``reservations`` puts it; who has left one does not go
    home.
    """
    reserved = {node for node, _ in reservations.reserved}
    near = reserved.union(*(inst.excludes.get(node, ()) for node in reserved))
    reserved_beside: defaultdict[Node, list[tuple[float, int]]] = defaultdict(list)
    for node, k in reservations.reserved:
        for other in inst.graph[node]:
            reserved_beside[other].append((inst.coming[k].due, inst.coming[k].kind))
    before = {i: reservations.spot_of[i] for i in inst.free_items if reservations.spot_of[i] in near}
    rest = inst.with_pinned(before)
    rest = rest.with_homes({i: node for i, node in rest.homes.items() if node not in near})
    rest = rest.with_open([node for node in rest.open_nodes if node not in near])
    return replace(rest, coming=(), reserved_beside=_both(inst, reserved_beside), reserved_gap=gap)


def with_later(
    inst: Instance, later: Iterable[tuple[Node, float, int, float]], gap: float, vacated: tuple[float, ...]
) -> Instance:
    """The same instance with nodes reserved beforehand: (node, due, kind, from when) of those who come later.

    Who hangs there before has left by then, as ``vacated`` says, and nobody else to come is given that node.
    """
    reserved_beside: defaultdict[Node, list[tuple[float, int]]] = defaultdict(list)
    since: dict[Node, float] = {}
    for node, due, kind, day in later:
        for one in (node, *inst.excludes.get(node, ())):
            since[one] = min(day, since.get(one, math.inf))
        for other in inst.graph[node]:
            reserved_beside[other].append((due, kind))
    return replace(
        inst,
        vacated=inst.vacated or vacated,
        vacancy_chance={
            key: p for key, p in inst.vacancy_chance.items() if inst.pinned.get(key[0]) not in since
        },
        reserved_beside=_both(inst, reserved_beside),
        reserved_gap=gap,
        reserved_from={
            node: min(inst.reserved_from.get(node, math.inf), since.get(node, math.inf))
            for node in {**inst.reserved_from, **since}
        },
    )


def _both(
    inst: Instance, more: Mapping[Node, list[tuple[float, int]]]
) -> dict[Node, tuple[tuple[float, int], ...]]:
    """Node → (due, kind) of those reserved beside it, in the instance already or besides."""
    known = inst.reserved_beside
    return {n: tuple(dict.fromkeys((*known.get(n, ()), *more.get(n, ())))) for n in {**known, **more}}


def first_fit(
    inst: Instance,
    spot_of: SpotOf,
    gap: float,
    wanted: Collection[tuple[str, Node]] = (),
    *,
    aside: bool = False,
) -> tuple[tuple[Node, int], ...]:
    """First fit of those to come, earliest first, while everybody hangs as in ``spot_of``.

    Nobody is given the node of one that has hardly a chance of leaving it, however soon it is gone if it
    emerges at all: as of one long overdue.

    ``aside``: each on a node beside which fewest hang or are to; else the first that will do, which leaves
    more nodes to the others.
    """
    taken: defaultdict[Node, list[tuple[float, float]]] = defaultdict(list)  # node → from, until
    hung: dict[Node, list[tuple[float, int]]] = defaultdict(list)  # node → due and kind
    for item, node in spot_of.items():
        taken[node].append((-math.inf, inst.vacated_by(item)))
        hung[node].append((inst.dues[item], inst.kind(item)))
    nodes = [*inst.open_nodes, *(n for i, n in inst.pinned.items() if inst.vacated_by(i) < math.inf)]
    beside = Counter(other for node in hung for other in inst.graph[node])  # how many hang or are to
    reserved: list[tuple[Node, int]] = []
    lacking = {first: inst.coming[first].count for first in inst.first_of}
    for k, coming in sorted(enumerate(inst.coming), key=lambda c: c[1].since):
        own = inst.first_of[k]
        if not lacking[own]:
            continue
        order = sorted(nodes, key=beside.__getitem__) if aside else nodes
        if wanted:
            order = sorted(order, key=lambda n: (coming.name, n) not in wanted)
        for node in order:
            if not lacking[own]:
                break
            if inst.chance(node, k) and _fits(inst, coming, node, taken, hung, gap):
                reserved.append((node, k))
                taken[node].append((coming.since, coming.until))
                if node not in hung:
                    beside.update(list(inst.graph[node]))  # a mapping would be added up
                hung[node].append((coming.due, coming.kind))
                lacking[own] -= 1
    return tuple(reserved)


def _fits(
    inst: Instance,
    coming: Coming,
    node: Node,
    taken: dict[Node, list[tuple[float, float]]],
    hung: dict[Node, list[tuple[float, int]]],
    gap: float,
) -> bool:
    if not inst.leaves_in_time(node, coming.until):
        return False
    for beside in (node, *inst.excludes.get(node, ())):
        for since, until in taken.get(beside, ()):
            if since < coming.until and coming.since < until - EPS:
                return False
    return not inst.disturbs_reservation(node, coming.due, coming.kind) and not any(
        abs(due - coming.due) < gap - EPS or (kind, coming.kind) in inst.risky
        for other in inst.graph[node]
        for due, kind in hung.get(other, ())
    )
