"""The least carrying: bounded where nodes are taken together, then sought where little is lost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import networkx as nx

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.due_classes import due_classes
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance, Node, SpotOf, spot_name
from planner.engine.model.level import Level
from planner.engine.model.linear_relaxation import SCALE, Relaxation, linear_relaxation
from planner.engine.model.solver import Answer, Effort, solve_repeatably
from planner.engine.secondary.carrying import Carrying, exchanged
from planner.engine.secondary.stretches import Stretches

Pair = tuple[int, Node]  # which flow, and where one of it may hang


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
    lose together in the best known hangs in no better arrangement, so most nodes of a long yarn fall away,
    and with each better bound or arrangement more of them.

    Along a yarn a few positions side by side are taken for one (`Stretches`). Their linear relaxation has
    nearly the bound of the whole one, at a tenth of the work, and on lines it is nearly whole: the solver
    finds at once who hangs on which stretch. Then positions are sought on those and on the ones beside them.
    """
    search = _Search(inst, start, gap, carrying, effort, close)
    with suppress(TooLarge):
        search.run()
    value, bound = search.value, search.bound
    return search.best, Level(name="carrying", value=value / 10, bound=bound / 10, proved=value == bound)


@dataclass(frozen=True)
class _Made:
    """A model of carrying: ``carried`` says of each flow and stretch whether one of it hangs there."""

    model: HangModel
    stretches: Stretches
    carried: dict[Pair, cp_model.IntVar]
    costs: dict[Pair, int]


class _Search:
    """The best arrangement known, what it costs, and what all cost at least."""

    def __init__(
        self,
        inst: Instance,
        start: SpotOf,
        gap: float,
        carrying: Carrying,
        effort: Effort,
        close: nx.Graph[Any] | None,
    ):
        self.inst, self.gap, self.carrying, self.effort = inst, gap, carrying, effort
        self.work = budget.SECONDARY_SHARE * effort.clock.seconds
        self.close = close
        self.best = exchanged(inst, start, carrying)
        self.value = carrying.total(inst, self.best)
        self.flows = carrying.flows(inst, self.best)
        self.bound = sum(flow.least for flow in self.flows)
        self.flow_of = {i: f for f, flow in enumerate(self.flows) for i in flow.items}
        self.column = {node: k for k, node in enumerate(inst.open_nodes)}

    def run(self) -> None:
        """Search until the best known is proved, or the work is done."""
        if self.close is None or self.bound >= self.value or not self.flows:
            return
        self._prepare(self.close)
        sliding = bool(self.inst.exclusive)
        if not 0 < len(self.least) <= budget.SECONDARY_MADE:
            return
        self.effort.say("least carrying")
        if not sliding:
            self._stage(self._each, without_dear=True)
            self._stage(self._each, without_dear=False)
            return
        longest = budget.STRETCH
        self._stage(self._stretches(longest), without_dear=True)
        if not self._few:  # what these stretches hide, those that begin elsewhere show
            self._stage(self._stretches(longest // 2), without_dear=False)
            if self._worth_telling:
                self._stage(self._stretches(longest), without_dear=False)
            if not self._worth_telling:
                return
        if self._few:
            self._stage(self._each, without_dear=True)

    @property
    def _worth_telling(self) -> bool:
        """Whether more may be gained than is told."""
        return self.value - self.bound >= budget.CARRYING_TOLD

    @property
    def _few(self) -> bool:
        """Whether so few positions are left that each can be told apart."""
        return len(self._wanted()) <= budget.CARRYING_SOLVED

    @cached_property
    def _each(self) -> Stretches:
        """Each node for itself."""
        return Stretches(tuple((node,) for node in self.rest.open_nodes))

    def _stretches(self, first: int) -> Stretches:
        """A few nodes side by side taken for one, the first of each line as long as that."""
        return Stretches.along(self.rest.open_nodes, self.apart, budget.STRETCH, first)

    def _prepare(self, close: nx.Graph[Any]) -> None:
        """Note where each may hang, beside those that are fixed, and what all cost then at least."""
        inst = self.inst
        fixed = {i: n for i, n in self.best.items() if i in inst.pinned or inst.homes.get(i) == n}
        rest = inst.with_pinned(fixed).with_homes({})
        beside = {other for n in fixed.values() if n in close for other in close.adj[n]}
        rest = rest.with_open([n for n in rest.open_nodes if n not in beside])
        self.rest = rest
        self.apart: nx.Graph[Any] = nx.Graph()  # of two joined nodes only one may be taken
        self.apart.add_nodes_from(rest.open_nodes)
        known = {*rest.open_nodes}
        for node in rest.open_nodes:
            near = (*rest.excludes.get(node, ()), *(close.adj[node] if node in close else ()))
            self.apart.add_edges_from((node, other) for other in near if other in known)
        self.least: dict[Pair, int] = {}  # pair → what an arrangement costs at least in which it is so
        classes = due_classes(rest, self.gap, merge=False)
        for node in rest.open_nodes:
            shut = set().union(*(classes.near[classes.of[i]] for i in rest.pinned_beside(node)))
            for f, flow in enumerate(self.flows):
                item = flow.items[0]
                until = max(map(inst.vacated_by, flow.items))
                if (
                    classes.of[item] not in shut
                    and rest.leaves_in_time(node, until)
                    and not rest.disturbs_reservation(node, inst.dues[item], inst.kind(item))
                ):
                    self.least[f, node] = self.bound + self._cost((f, node)) - int(flow.costs.min())
        self.least = self._wanted()

    def _cost(self, pair: Pair) -> int:
        return int(self.flows[pair[0]].costs[self.column[pair[1]]])

    def _wanted(self) -> dict[Pair, int]:
        """The pairs that an arrangement may have which costs no more than the best known."""
        return {pair: least for pair, least in self.least.items() if least <= self.value}

    def _stage(self, stretches: Stretches, *, without_dear: bool) -> None:
        """Bound and search on stretches, without what is dear in their relaxation."""
        if self.bound >= self.value:
            return
        self.least = self._wanted()
        made = self._made(self.least, stretches)
        cp = made.model.cp
        proved_if_dear = self.value
        if without_dear or stretches is not self._each:  # else the relaxation is that of the stage before
            relaxed = linear_relaxation(cp, self.effort, self.work)
            self.bound = max(self.bound, relaxed.bound)
            self._learn(made, relaxed)
            if self.bound >= self.value:
                return
        if without_dear:
            kept = {literal.index for literal in self._true(made)}
            dear = [cp.get_bool_var_from_proto_index(k) for k in relaxed.dear - kept]
            if dear:
                proved_if_dear = relaxed.bound_if_dear
                without = cp.new_bool_var("without what is dear in the relaxation")
                cp.add(cp_model.LinearExpr.sum(dear) == 0).only_enforce_if(without)
                cp.add_assumption(without)
        answer = self._solved(made, plain=not without_dear)
        if answer.bound is not None:
            self.bound = max(self.bound, min(answer.bound, proved_if_dear))
        if not answer.solved:
            return
        if stretches is self._each:
            self._take(made.model.read(answer))
        else:
            self._place(made, [pair for pair, literal in made.carried.items() if answer.on(literal)])

    def _solved(self, made: _Made, plain: bool = False) -> Answer:
        """What the solver answers: without cuts on a yarn, where the relaxation is nearly whole."""
        marks = not self.inst.exclusive
        return solve_repeatably(made.model.cp, self.effort, self.work, plain=plain and marks, cuts=marks)

    def _learn(self, made: _Made, relaxed: Relaxation) -> None:
        """Note what each pair costs at least by the relaxation."""
        first, x, of = made.stretches.first_of, made.model.x, made.model.classes.of
        for (f, node), least in self.least.items():
            pair = (f, first[node])
            both = {made.carried[pair].index, x[pair[1], of[self.flows[f].items[0]]].index}
            dearer = sum(int(relaxed.reduced[k]) for k in both)
            bound = -(-(relaxed.least + dearer) // SCALE) + self._cost((f, node)) - made.costs[pair]
            self.least[f, node] = max(least, bound)

    def _place(self, made: _Made, hung: Iterable[Pair]) -> None:
        """Look for a better arrangement with each on its stretch, or on one beside it."""
        parts = made.stretches.parts
        number = {part[0]: k for k, part in enumerate(parts)}
        near = {
            (f, node)
            for f, first in hung
            for part in parts[max(0, number[first] - 1) : number[first] + 2]
            for node in part
        }
        near |= {(self.flow_of[i], self.best[i]) for i in self.inst.touched(self.best)}
        exact = self._made([pair for pair in self.least if pair in near], self._each)
        if (answer := self._solved(exact)).solved:
            self._take(exact.model.read(answer))

    def _take(self, found: SpotOf) -> None:
        """Keep an arrangement if it is better."""
        found = exchanged(self.inst, found, self.carrying)
        if (value := self.carrying.total(self.inst, found)) < self.value:
            self.best, self.value = found, value

    def _made(self, pairs: Iterable[Pair], stretches: Stretches) -> _Made:
        """The model in which each hangs on one of its ``pairs``, and it is not said where on its stretch."""
        pairs = list(pairs)
        stretches = stretches.among({node for _, node in pairs})
        first, costs = stretches.first_of, dict[Pair, int]()
        for f, node in pairs:
            cost, pair = self._cost((f, node)), (f, first[node])
            costs[pair] = min(cost, costs.get(pair, cost))
        inst = stretches.instance(self.rest, self.apart)
        of = due_classes(inst, self.gap, merge=False).of
        by_class: defaultdict[int, list[int]] = defaultdict(list)  # class → its flows
        for f, flow in enumerate(self.flows):
            by_class[of[flow.items[0]]].append(f)
        wanted = {(node, of[self.flows[f].items[0]]) for f, node in costs}
        model = HangModel(
            inst, self.gap, merge=False, wanted=lambda node, c: (node, c) in wanted, effort=self.effort
        )
        made = _Made(model, stretches, {}, costs)
        for c, those in by_class.items():
            self._carried(made, c, those)
        carried, weights = made.carried, [costs[pair] for pair in made.carried]
        model.cp.minimize(cp_model.LinearExpr.weighted_sum(list(carried.values()), weights))
        model.hint({i: first.get(node, node) for i, node in self.best.items()})
        true, own = {literal.index for literal in self._true(made)}, {one.index for one in model.x.values()}
        for one in carried.values():
            if one.index not in own:
                model.cp.add_hint(one, one.index in true)
        return made

    def _carried(self, made: _Made, c: int, those: list[int]) -> None:
        """The Booleans of the flows of one class: as many of each hang as it has items."""
        model, carried = made.model, made.carried
        nodes = [node for node in model.inst.open_nodes if (node, c) in model.x]
        for f in those:
            due, source = self.inst.dues[self.flows[f].items[0]], self.carrying.source(self.flows[f].items[0])
            for node in nodes:
                if (f, node) in made.costs:
                    name = f"due {due:g} from {source} to {spot_name(node)}"
                    alone = len(those) == 1
                    carried[f, node] = model.x[node, c] if alone else model.cp.new_bool_var(name)
        if len(those) == 1:
            return
        for f in those:
            literals = [carried[f, node] for node in nodes if (f, node) in carried]
            model.cp.add(cp_model.LinearExpr.sum(literals) == len(self.flows[f].items))
        for node in nodes:
            literals = [carried[f, node] for f in those if (f, node) in carried]
            model.cp.add(cp_model.LinearExpr.sum(literals) == model.x[node, c])

    def _true(self, made: _Made) -> list[cp_model.IntVar]:
        """The Booleans that are true in the best known."""
        first, found = made.stretches.first_of, []
        for i in self.inst.touched(self.best):
            node = first[self.best[i]]
            found += [made.carried[self.flow_of[i], node], made.model.x[node, made.model.classes.of[i]]]
        return found
