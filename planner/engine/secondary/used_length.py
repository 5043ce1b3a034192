"""Used length as a secondary objective: the rest of a line with sliding clips is free for those to come."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, Node, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.line_position import LinePosition
from planner.engine.model.solver import Effort, solve_repeatably
from planner.engine.model.variables import Var
from planner.engine.secondary.fixed_levels import fix_touched

MILLI = 1000  # lengths in whole thousandths of a cm: each end is rounded once, so that sums are exact


def length_used(
    taken: Iterable[Node], others: Iterable[Node], positions: Mapping[Node, LinePosition]
) -> dict[str, float]:
    """Line → how far its last clip is from its left end, cm."""
    ends: dict[str, float] = {}
    for node in (*taken, *others):
        if (at := positions.get(node)) is not None:
            ends[at.line] = max(at.x, ends.get(at.line, 0.0))
    return ends


def shortest_level(
    inst: Instance,
    start: SpotOf,
    gap: float,
    positions: Mapping[Node, LinePosition],
    effort: Effort,
    restrict: Callable[[HangModel], None] = lambda _: None,
    others: Collection[Node] = (),
) -> tuple[SpotOf, Level]:
    """The assignment that uses the least length of all these lines, each from its left end to its last clip.

    Parameters
    ----------
    gap
        Days.
    positions
        Node → where on its line it is (cm), for the nodes of lines with sliding clips.
    restrict
        Fixes levels reached before.
    others
        Nodes of those who are no items.

    Notes
    -----
    Nobody is moved who need not be. For each position a Boolean u tells whether the line is used so far or
    farther: of the clips in one clip's width from there at most one is there, and then u is true. The length
    is the sum of the steps between positions used.
    """
    effort.say("shortest length used")
    pinned_length = length_used(inst.pinned.values(), others, positions)
    least = sum(map(_milli, pinned_length.values()))  # what is known without a search
    if (
        len(inst.open_nodes) * len({round(inst.dues[i] / EPS) for i in inst.free_items})
        > budget.SECONDARY_MADE
    ):
        return start, length_level(start, positions, least / MILLI, others)
    try:
        model = HangModel(inst, gap, merge=False, effort=effort)
        restrict(model)
        fix_touched(inst, inst.handling(start))(model)
        by_line: defaultdict[str, list[tuple[float, Node]]] = defaultdict(list)
        for node in model.taking:
            if node in positions:
                by_line[positions[node].line].append((positions[node].x, node))
        steps: list[int] = []
        used: list[Var] = []
        for line, nodes in by_line.items():
            nodes.sort(key=lambda pair: pair[0])
            before, nearer = pinned_length.get(line, 0.0), None
            for x, node in nodes:
                if x <= before:
                    continue
                u = model.cp.new_bool_var(f"{line} used as far as {x:g}")
                beyond = (n for n in inst.excludes.get(node, ()) if n in positions and positions[n].x > x)
                group = [node, *sorted(beyond, key=lambda n: positions[n].x)]
                literals = [literal for n in group for literal, _, _ in model.taking.get(n, ())]
                model.cp.add(cp_model.LinearExpr.sum(literals) <= u)
                if nearer is not None:
                    model.cp.add_implication(u, nearer)
                steps.append(_milli(x) - _milli(before))
                used.append(u)
                before, nearer = x, u
        model.cp.minimize(cp_model.LinearExpr.weighted_sum(used, steps) + least)
        model.hint(start)
        few = len(model.x) <= budget.SECONDARY_SOLVED
        work = 2 * budget.SECONDARY_SHARE * effort.clock.seconds if few else 0.0
        answer = solve_repeatably(model.cp, effort, work)
    except TooLarge:
        return start, length_level(start, positions, least / MILLI, others)
    found = model.read(answer) if answer.solved else start
    best = min(start, found, key=lambda spot_of: total_length(spot_of, positions, others))
    bound = (least if answer.bound is None else answer.bound) / MILLI
    return best, length_level(best, positions, bound, others)


def length_level(
    spot_of: SpotOf, positions: Mapping[Node, LinePosition], bound: float, others: Collection[Node] = ()
) -> Level:
    """The level for an assignment, of which ``bound`` cm are proved."""
    value = total_length(spot_of, positions, others)
    return Level(name="length", value=value, bound=bound, proved=value == bound)


def total_length(
    spot_of: SpotOf, positions: Mapping[Node, LinePosition], others: Collection[Node] = ()
) -> float:
    """The length used of all lines together, cm; ``others``: where those hang who are no items."""
    return sum(map(_milli, length_used(spot_of.values(), others, positions).values())) / MILLI


def _milli(cm: float) -> int:
    return round(MILLI * cm)


def cut_off(inst: Instance, spot_of: SpotOf, positions: Mapping[Node, LinePosition]) -> Instance:
    """The instance without the positions beyond the last clip of each line."""
    ends = length_used(spot_of.values(), (), positions)
    in_use = tuple(
        n for n in inst.open_nodes if n not in positions or positions[n].x <= ends.get(positions[n].line, 0.0)
    )
    return inst.with_open(in_use)
