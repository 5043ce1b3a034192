"""The last objective: least carrying, in a tidy order by date."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from planner.engine.model import budget
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, Node, SpotOf, spot_name
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort, solve_repeatably
from planner.engine.search.matching import match


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

    def least(self, inst: Instance, start: SpotOf) -> int:
        """A lower bound: each that is moved on the node that is best for it alone; 0 on a very large rack."""
        alike: Counter[tuple[Hashable, int]] = Counter()
        for i in inst.touched(start):
            alike[self.source(i), i] += 1
        if len(alike) * len(inst.open_nodes) > budget.SECONDARY_MADE:
            return 0
        return sum(
            many * min(self.cost(source, node) + self.order(i, node) for node in inst.open_nodes)
            for (source, i), many in alike.items()
        )


def carrying_level(
    inst: Instance,
    start: SpotOf,
    gap: float,
    carrying: Carrying,
    effort: Effort,
    *,
    solved: bool = True,
) -> tuple[SpotOf, Level]:
    """The assignment with least carrying at no smaller ``gap``, and its level; exact over all sources.

    Parameters
    ----------
    start
        Fixes who moves.
    gap
        Days.
    solved
        Whether ``inst`` itself keeps all levels reached before, so that the solver may look for better and
        prove it; else only items of one due and kind exchange their nodes.
    """
    best = least_carrying(inst, start, carrying)
    if not solved:
        value, bound = carrying.total(inst, best), carrying.least(inst, start)
        return best, Level(name="carrying", value=value / 10, bound=bound / 10, proved=value == bound)
    effort.say("least carrying")
    fixed = {i: node for i, node in start.items() if i in inst.pinned or inst.homes.get(i) == node}
    rest = replace(inst.with_pinned(fixed), homes={}, barred=frozenset())
    model = HangModel(rest, gap, inst.cover, merge=False, effort=effort)
    terms: list[tuple[int, cp_model.IntVar]] = []
    from_: dict[tuple[int, Hashable, Node], cp_model.IntVar] = {}
    for c, items in enumerate(model.classes.members):
        sources = Counter(carrying.source(i) for i in items if i not in fixed)
        nodes = [node for node in inst.open_nodes if (node, c) in model.x]
        due = inst.dues[items[0]]
        if len(sources) == 1:
            parts = {source: [model.x[node, c] for node in nodes] for source in sources}
        else:
            parts = {
                source: [model.cp.new_bool_var(f"due {due:g} from {source} to {spot_name(n)}") for n in nodes]
                for source in sources
            }
            for source, count in sources.items():
                model.cp.add(cp_model.LinearExpr.sum(parts[source]) == count)
            for node, *here in zip(nodes, *parts.values(), strict=True):
                model.cp.add(cp_model.LinearExpr.sum(here) == model.x[node, c])
            for source, literals in parts.items():
                from_ |= {(c, source, node): one for node, one in zip(nodes, literals, strict=True)}
        for source, literals in parts.items():
            costs = [carrying.cost(source, node) + carrying.order(items[0], node) for node in nodes]
            terms += zip(costs, literals, strict=True)
    model.cp.minimize(cp_model.LinearExpr.weighted_sum([v for _, v in terms], [w for w, _ in terms]))
    model.hint(best)
    carried = {(model.classes.of[i], carrying.source(i), best[i]) for i in inst.touched(best)}
    for key, one in from_.items():
        model.cp.add_hint(one, key in carried)
    # The model is as tight as it stands: to simplify it first takes longer than to solve it.
    work = budget.SECONDARY_SHARE * effort.clock.seconds
    answer = solve_repeatably(model.cp, effort, work, presolve=False, cores=True)
    if answer.solved:
        found = least_carrying(inst, model.read(answer), carrying)
        best = min(best, found, key=lambda spot_of: carrying.total(inst, spot_of))
    value = carrying.total(inst, best)
    bound = 0 if answer.bound is None else min(answer.bound, value)
    return best, Level(name="carrying", value=value / 10, bound=bound / 10, proved=value == bound)


def is_small(inst: Instance, start: SpotOf, carrying: Carrying) -> bool:
    """Whether the model of `carrying_level` is small enough to be worth its time."""
    flows = {(carrying.source(i), round(inst.dues[i] / EPS)) for i in inst.touched(start)}
    most = budget.SECONDARY_MADE if not inst.exclusive else budget.CARRYING_SOLVED
    return len(flows) * len(inst.open_nodes) <= most


def least_carrying(inst: Instance, spot_of: SpotOf, carrying: Carrying) -> SpotOf:
    """The assignment with nodes exchanged among items of one due and kind, so that least is carried."""
    alike = {i: (round(inst.dues[i] / EPS), inst.kind(i)) for i in inst.touched(spot_of)}
    moved = {i: (alike[i], carrying.source(i)) for i in alike}
    return match(spot_of, moved, carrying.cost)
