"""Room for those to come: spots kept so that they can be hung later without touching anybody again."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from planner.engine.model import budget
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, TENTHS, Coming, Instance, Node, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import close_of, closeness
from planner.engine.model.solver import Effort, solve, solve_repeatably


@dataclass(frozen=True)
class Room:
    """Where everybody hangs, the nodes kept (node, which of those to come), and the levels reached."""

    spot_of: SpotOf
    kept: tuple[tuple[Node, int], ...]
    levels: tuple[Level, ...]


def room_level(
    inst: Instance,
    start: SpotOf,
    gap: float,
    restrict: Callable[[HangModel], None],
    effort: Effort,
    *,
    counted: bool,
) -> Room:
    """Keep nodes for as many of those to come as can be, nothing reached before getting worse.

    Parameters
    ----------
    hold
        Keeps what was reached.
    counted
        Whether ``start`` has clashes. Then how close those of today hang to near dates is told as well (level
        "close"), for nothing else will be done for them.

    Notes
    -----
    Those of today may exchange their nodes. Of all ways to keep as much room, one is chosen that hangs them
    far from near dates: `reserve` settles what is kept before anything else is looked for. One to come takes
    a node that may be free by then, which counts with its chance, and keeps ``gap`` days from its neighbours
    like everybody else.
    """
    kept = _found_at_once(inst, start, gap)
    total = sum(TENTHS * coming.count for coming in inst.coming)
    best, bounds = start, dict[str, int]()
    size = len(inst.coming) + len({round(due / EPS) for due in inst.dues})
    size *= len(inst.open_nodes)
    if size <= budget.SECONDARY_SOLVED or (
        size <= budget.RESERVATION_SOLVED and (counted or _value(inst, kept) < total)
    ):
        effort.say("room for those to come")
        model = HangModel(inst, gap, ahead=True, counted=counted, merge=False)
        restrict(model)
        goals = [("room", model.missing)]
        if size <= budget.SECONDARY_SOLVED:
            goals.append(("close", closeness(model, gap, coming_too=not counted)))
        for name, expression in goals:
            model.cp.minimize(expression)
            model.hint(best, kept)
            if name == "room":
                answer = solve(model.cp, effort, budget.RESERVATION_SHARE * effort.clock.left)
            else:
                answer = solve_repeatably(model.cp, effort, budget.RESERVATION_CLOSE)
            if answer.bound is not None:
                bounds[name] = answer.bound
            if not answer.solved or answer.value is None:
                break
            best = model.read(answer)
            kept = tuple(key for key, literal in model.kept.items() if answer.on(literal))
            model.cp.add(expression <= answer.value)
    missing = (total - _value(inst, kept)) / TENTHS
    least = max(0, bounds.get("room", 0)) / TENTHS
    levels = [Level(name="room", value=missing, bound=least, proved=missing == least)] if inst.coming else []
    if counted:
        levels.append(close_of(inst, best, gap, max(0, bounds.get("close", 0))))
    return Room(best, kept, tuple(levels))


def _value(inst: Instance, kept: Iterable[tuple[Node, int]]) -> int:
    return sum(inst.chance(*key) for key in kept)


def reserve(inst: Instance, room: Room, gap: float) -> Instance:
    """The same instance with the room kept: its nodes are taken, and its neighbours keep their distance.

    Whoever uses such a node until then stays where ``room`` puts it.
    """
    kept = {node for node, _ in room.kept}
    near = kept.union(*(inst.excludes.get(node, ()) for node in kept))
    avoid: defaultdict[Node, list[tuple[float, int]]] = defaultdict(list)
    for node, k in room.kept:
        for other in inst.graph[node]:
            avoid[other].append((inst.coming[k].due, inst.coming[k].kind))
    before = {i: room.spot_of[i] for i in inst.free_items if room.spot_of[i] in near}
    rest = inst.with_pinned(before)
    rest = rest.with_open([node for node in rest.open_nodes if node not in near])
    return replace(
        rest,
        coming=(),
        avoid={node: tuple(dict.fromkeys(those)) for node, those in avoid.items()},
        avoid_gap=gap,
    )


def _found_at_once(inst: Instance, spot_of: SpotOf, gap: float) -> tuple[tuple[Node, int], ...]:
    """Nodes for those to come as everybody hangs now: first come, first on the first node that will do."""
    taken: defaultdict[Node, list[tuple[float, float]]] = defaultdict(list)  # node → from, until
    hung: dict[Node, list[tuple[float, int]]] = defaultdict(list)  # node → due and kind
    for item, node in spot_of.items():
        taken[node].append((-math.inf, inst.leave(item)))
        hung[node].append((inst.dues[item], inst.kind(item)))
    nodes = [*inst.open_nodes, *(n for i, n in inst.pinned.items() if inst.leave(i) < math.inf)]
    kept: list[tuple[Node, int]] = []
    for k, coming in sorted(enumerate(inst.coming), key=lambda c: c[1].since):
        left = coming.count
        for node in nodes:
            if left and _fits(inst, coming, node, taken, hung, gap):
                kept.append((node, k))
                taken[node].append((coming.since, coming.until))
                hung[node].append((coming.due, coming.kind))
                left -= 1
    return tuple(kept)


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
