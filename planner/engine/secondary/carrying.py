"""The last objective: least carrying, in a tidy order by date."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

import networkx as nx
import numpy as np
import numpy.typing as npt

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.due_classes import due_classes
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, Node, SpotOf, spot_name
from planner.engine.model.level import Level
from planner.engine.model.linear_relaxation import linear_relaxation
from planner.engine.model.neighbour_pairs import Whole
from planner.engine.model.solver import Effort, solve_repeatably
from planner.engine.search.matching import match
from planner.engine.secondary.elbow_room import with_elbow_room


@dataclass(frozen=True)
class Carrying:
    """The costs of carrying: from where an item is to a node, and of hanging there out of order of date.

    ``source``: item → where it is now; ``cost``: (source, node) → whole number; ``order``: (item, node) →
    whole number, small against ``cost``, the same for items of one due and kind.
    """

    source: Callable[[int], Hashable]
    cost: Callable[[Hashable, Node], int]
    order: Callable[[int, Node], int]

    def total(self, inst: Instance, spot_of: SpotOf) -> int:
        """Cost of all moves."""
        return sum(
            self.cost(self.source(i), spot_of[i]) + self.order(i, spot_of[i]) for i in inst.touched(spot_of)
        )

    def flows(self, inst: Instance, start: SpotOf) -> list[Flow]:
        """The items that are moved in ``start``, those together that are alike in due, kind and source."""
        alike: defaultdict[tuple[Hashable, int, int], list[int]] = defaultdict(list)
        for i in inst.touched(start):
            alike[self.source(i), round(inst.dues[i] / EPS), inst.kind(i)].append(i)
        if len(alike) * len(inst.open_nodes) > budget.SECONDARY_MADE:
            return []
        return [
            Flow(
                tuple(items),
                np.array([self.cost(key[0], node) + self.order(items[0], node) for node in inst.open_nodes]),
            )
            for key, items in alike.items()
        ]


@dataclass(frozen=True)
class Flow:
    """Items alike in due, kind and source, and what it costs to carry one of them to each open node."""

    items: tuple[int, ...]
    costs: Whole

    @property
    def least(self) -> int:
        """What carrying them costs at least: each on the node that is best for it alone."""
        return len(self.items) * int(self.costs.min())


def carrying_level(
    inst: Instance,
    start: SpotOf,
    gap: float,
    carrying: Carrying,
    effort: Effort,
    close: nx.Graph[Any] | None = None,
) -> tuple[SpotOf, Level]:
    """The assignment with least carrying at no smaller ``gap``, and its level; exact over all sources.

    Parameters
    ----------
    start
        Fixes who moves.
    gap
        Days.
    close
        Joins nodes of which only one may be taken, as they leave hands no elbow room. None: ``inst`` does not
        keep all levels reached before, so that only items of one due and kind exchange their nodes.

    Notes
    -----
    What an item costs on a node above the least that it costs anywhere is lost. Whoever loses more than all
    lose together in the start hangs in no better arrangement, so most nodes of a long yarn fall away. Of the
    rest the linear relaxation is solved. On lines it is nearly whole: as a rule its bound is reached by an
    arrangement without nodes that are dear in it, which the solver finds at once.
    """
    best = least_carrying(inst, start, carrying)
    value, flows = carrying.total(inst, best), carrying.flows(inst, best)
    bound = sum(flow.least for flow in flows)
    wanted = [flow.costs - flow.costs.min() <= value - bound for flow in flows]
    most = budget.SECONDARY_MADE if not inst.exclusive else budget.CARRYING_SOLVED
    if close is not None and bound < value and 0 < sum(map(np.sum, wanted)) <= most:
        effort.say("least carrying")
        with suppress(TooLarge):
            found, bound = _solved(inst, best, gap, carrying, effort, close, flows, wanted, value, bound)
            best = min(best, found, key=lambda spot_of: carrying.total(inst, spot_of))
            value = carrying.total(inst, best)
    return best, Level(name="carrying", value=value / 10, bound=bound / 10, proved=value == bound)


def _solved(
    inst: Instance,
    start: SpotOf,
    gap: float,
    carrying: Carrying,
    effort: Effort,
    close: nx.Graph[Any],
    flows: Sequence[Flow],
    wanted: Sequence[npt.NDArray[np.bool_]],
    value: int,
    least: int,
) -> tuple[SpotOf, int]:
    """The best arrangement found on the nodes ``wanted`` for each flow, and a bound on all that cost no more.

    ``value``: what ``start`` costs; ``least``: a bound known.
    """
    fixed = {i: node for i, node in start.items() if i in inst.pinned or inst.homes.get(i) == node}
    rest = replace(inst.with_pinned(fixed), homes={}, barred=frozenset())
    column = {node: k for k, node in enumerate(inst.open_nodes)}
    here = np.any(wanted, axis=0)
    rest = with_elbow_room(rest.with_open([n for n in rest.open_nodes if here[column[n]]]), close)
    classes = due_classes(rest, gap, merge=False)
    by_class: defaultdict[int, list[int]] = defaultdict(list)  # class → its flows
    for f, flow in enumerate(flows):
        by_class[classes.of[flow.items[0]]].append(f)
    open_to = {c: np.any([wanted[f] for f in those], axis=0) for c, those in by_class.items()}
    model = HangModel(
        rest,
        gap,
        merge=False,
        wanted=lambda node, c: bool(c in open_to and open_to[c][column[node]]),
        effort=effort,
    )
    carried: dict[tuple[int, Node], cp_model.IntVar] = {}  # (flow, node) → whether one of it hangs there
    own = {one.index for one in model.x.values()}
    for c, those in by_class.items():
        nodes = [node for node in rest.open_nodes if (node, c) in model.x]
        for f in those:
            due, source = inst.dues[flows[f].items[0]], carrying.source(flows[f].items[0])
            for node in nodes:
                if wanted[f][column[node]]:
                    carried[f, node] = (
                        model.x[node, c]
                        if len(those) == 1
                        else model.cp.new_bool_var(f"due {due:g} from {source} to {spot_name(node)}")
                    )
        if len(those) == 1:
            continue
        for f in those:
            literals = [carried[f, node] for node in nodes if (f, node) in carried]
            model.cp.add(cp_model.LinearExpr.sum(literals) == len(flows[f].items))
        for node in nodes:
            literals = [carried[f, node] for f in those if (f, node) in carried]
            model.cp.add(cp_model.LinearExpr.sum(literals) == model.x[node, c])
    costs = [int(flows[f].costs[column[node]]) for f, node in carried]
    model.cp.minimize(cp_model.LinearExpr.weighted_sum(list(carried.values()), costs))
    model.hint(start)
    flow_of = {i: f for f, flow in enumerate(flows) for i in flow.items}
    hung = {(flow_of[i], start[i]) for i in inst.touched(start)}
    for key, one in carried.items():
        if one.index not in own:
            model.cp.add_hint(one, key in hung)
    work = budget.SECONDARY_SHARE * effort.clock.seconds
    relaxed = linear_relaxation(model.cp, effort, work)
    least = max(least, relaxed.bound)
    if least >= value:
        return start, value
    kept = {one.index for key, one in carried.items() if key in hung}
    kept |= {model.x[start[i], classes.of[i]].index for i in inst.touched(start)}
    dear = [model.cp.get_bool_var_from_proto_index(k) for k in relaxed.dear - kept]
    without = model.cp.new_bool_var("without what is dear in the relaxation")
    model.cp.add(cp_model.LinearExpr.sum(dear) == 0).only_enforce_if(without)
    model.cp.add_assumption(without)
    best, answer = start, solve_repeatably(model.cp, effort, work)
    if answer.bound is not None:
        least = max(least, min(answer.bound, relaxed.bound_if_dear if dear else answer.bound))
    if answer.solved:
        best = least_carrying(inst, model.read(answer), carrying)
    if least < carrying.total(inst, best) and dear and not inst.exclusive:
        model.cp.clear_assumptions()
        model.hint(best)
        answer = solve_repeatably(model.cp, effort, work)
        least = max(least, answer.bound or 0)
        if answer.solved:
            best = least_carrying(inst, model.read(answer), carrying)
    return best, least


def least_carrying(inst: Instance, spot_of: SpotOf, carrying: Carrying) -> SpotOf:
    """The assignment with nodes exchanged among items of one due and kind, so that least is carried."""
    alike = {i: (round(inst.dues[i] / EPS), inst.kind(i)) for i in inst.touched(spot_of)}
    moved = {i: (alike[i], carrying.source(i)) for i in alike}
    return match(spot_of, moved, carrying.cost)
