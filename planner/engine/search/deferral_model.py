"""The model of items left at their homes till later: who hangs now, who stays, who is deferred till when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import TENTHS, Instance, Node
from planner.engine.model.solver import Answer, Effort, solve, solve_repeatably
from planner.engine.model.variables import Var

SURE = 9  # tenths: a node that is free by then with this chance counts as free


@dataclass(frozen=True)
class Deferrable:
    """Items alike that may be deferred, each at a ``cost``: its evenings at home so far, this one too.

    ``evenings``: which of the instance's ``coming`` they are when hung later, the first evening first.
    """

    items: tuple[int, ...]
    cost: int
    evenings: tuple[int, ...] = ()


class DeferralModel:
    """The model of who hangs now, who stays, and who is deferred till when; its objectives in order."""

    def __init__(
        self,
        inst: Instance,
        whole: Instance,
        gap: float,
        able: Collection[Deferrable],
        *,
        counted: bool,
        unplaced: bool,
        effort: Effort | None = None,
    ):
        self.able, self.inst = [*able], inst
        self.group = {i: g for g, one in enumerate(self.able) for i in one.items}
        # Which to come → its group, and which of the group's evenings it is.
        self.which = {k: (g, n) for g, one in enumerate(self.able) for n, k in enumerate(one.evenings)}
        self.model = HangModel(
            inst, gap, merge=False, demand=False, counted=counted, reserve=True, effort=effort
        )
        cp = self.model.cp
        self.placed = {i: cp.new_bool_var(f"{i} is deferred to a node") for i in self.group}
        self.unplaced = {i: cp.new_bool_var(f"{i} is deferred") for i in self.group} if unplaced else {}
        self.infeasible = False
        self._all_hang_or_are_deferred()
        self._as_many_nodes()
        self._nobody_stays_beside(whole)
        self._nobody_hangs_beside(whole, gap)

    def deferred(self, i: int) -> list[Var]:
        """The literals of which one is true when an item is deferred."""
        return [which[i] for which in (self.placed, self.unplaced) if i in which]

    @property
    def goals(self) -> list[tuple[str, cp_model.LinearExprT]]:
        """What comes first where clashes are counted, by the level's name."""
        if not self.model.counted:
            return []
        barred = [self.model.stay[i] for i in sorted(self.inst.barred) if i in self.model.stay]
        first = [("left", cp_model.LinearExpr.sum(barred))] if barred else []
        return [*first, ("clashes", self.model.clash_count)]

    @property
    def without_node(self) -> cp_model.LinearExprT:
        """How many are deferred without a node, in tenths."""
        everybody = sum(TENTHS * literal for i in self.group for literal in self.deferred(i))
        return everybody - sum(self.tenths(*key) * literal for key, literal in self.model.reserved.items())

    @property
    def evenings(self) -> cp_model.LinearExprT:
        """Evenings at home of those deferred, until they are hung; without a node this one is the last."""
        so_far = sum(self.able[g].cost * lit for i, g in self.group.items() for lit in self.deferred(i))
        return so_far + sum(self.which[k][1] * literal for (_, k), literal in self.model.reserved.items())

    def tenths(self, node: Node, k: int) -> int:
        """Chance in tenths that a node is free for one of those to come; sure ones count as free."""
        chance = self.inst.chance(node, k)
        return TENTHS if chance >= SURE else chance

    def at_most(self, clashes: int) -> None:
        """Allow no more clashes than that."""
        self.model.cp.add(self.model.clash_count <= clashes)

    def least(self, goal: cp_model.LinearExprT, effort: Effort, *, fixed: bool = True) -> Answer | None:
        """The least of an objective, which is then ``fixed``; None where no solution was found."""
        cp = self.model.cp
        cp.minimize(goal)
        answer = solve(cp, effort, budget.DEFERRAL_SHARE * effort.clock.left)
        self.infeasible = answer.status == "infeasible"
        if not answer.solved or answer.value is None:
            return None
        if fixed:
            cp.add(goal <= answer.value)
        self.answer = answer
        cp.clear_hints()  # type: ignore[no-untyped-call]  # ortools has no types here
        for literal in self._literals():
            cp.add_hint(literal, answer.on(literal))
        return answer

    def _literals(self) -> list[Var]:
        model = self.model
        own = [literal for i in self.group for literal in self.deferred(i)]
        return [*own, *model.x.values(), *model.stay.values(), *model.reserved.values()]

    def due_last(self, wanted: Mapping[int, Node], fewest: Answer, effort: Effort) -> set[int]:
        """Of the sets that cost as little as the one found, the one that keeps its nodes and is due last."""
        found = {i for i in self.group if any(fewest.on(literal) for literal in self.deferred(i))}
        if not found:
            return found
        dues, many = self.inst.dues, 1 + len(self.group)
        last = max(dues)
        nodes: defaultdict[int, set[Node]] = defaultdict(set)
        for i, node in wanted.items():
            if i in self.group:
                nodes[self.group[i]].add(node)
        # Of those due alike the last of the record: so that the same ones are told each time.
        order = {i: many - 1 - n for n, i in enumerate(sorted(self.group))}
        cost = {i: many * many * round(10 * (last - dues[i])) + order[i] for i in self.group}
        due = sum(cost[i] * literal for i in self.group for literal in self.deferred(i))
        moved = [lit for (n, k), lit in self.model.reserved.items() if n not in nodes[self.which[k][0]]]
        dear = 1 + sum(cost.values())
        self.model.cp.minimize(due + dear * cp_model.LinearExpr.sum(moved))
        better = solve_repeatably(self.model.cp, effort, budget.DEFERRAL_LATEST)
        if not better.solved:
            return found
        self.answer = better
        return {i for i in self.group if any(better.on(literal) for literal in self.deferred(i))}

    def later(self, found: Collection[int], wanted: Mapping[int, Node]) -> dict[int, tuple[Node, int]]:
        """Item → node and which to come of those deferred that have one; who had a node before keeps it."""
        later: dict[int, tuple[Node, int]] = {}
        spots: defaultdict[int, list[tuple[Node, int]]] = defaultdict(list)
        for (node, k), literal in self.model.reserved.items():
            if self.answer.on(literal):
                spots[self.which[k][0]].append((node, k))
        for g, those in spots.items():
            items = [i for i in self.able[g].items if i in found]
            those.sort(key=lambda spot: spot[1])
            for i in sorted(items, key=lambda i: i not in wanted):
                if those and (at := next((s for s in those if s[0] == wanted.get(i)), those[0])):
                    those.remove(at)
                    later[i] = at
        return later

    def _all_hang_or_are_deferred(self) -> None:
        """For each class c: (how many of c hang) + (how many are deferred) = its items; nobody does both."""
        model = self.model
        hung = model.hung()
        for c, items in enumerate(model.classes.members):
            free = [i for i in items if i not in self.inst.pinned]
            if free:
                put_off = [literal for i in free if i in self.group for literal in self.deferred(i)]
                model.cp.add(cp_model.LinearExpr.sum([*hung.get(c, []), *put_off]) == len(free))
        for i in self.group:
            stay = [model.stay[i]] if i in model.stay else []
            model.cp.add_at_most_one([*self.deferred(i), *stay])

    def _as_many_nodes(self) -> None:
        """For each group: as many nodes are reserved on its evenings as of it are deferred to a node."""
        nodes: defaultdict[int, list[Var]] = defaultdict(list)
        for (_, k), literal in self.model.reserved.items():
            nodes[self.which[k][0]].append(literal)
        for g, one in enumerate(self.able):
            placed = cp_model.LinearExpr.sum([self.placed[i] for i in one.items])
            self.model.cp.add(cp_model.LinearExpr.sum(nodes[g]) == placed)

    def _nobody_stays_beside(self, whole: Instance) -> None:
        """For each clique q of homes and run r: b = "one of r stays in q"; then none waits in vain there.

        ``whole``: with the homes of those who must leave their lid, whom the model knows only as deferred.
        """
        model = self.model
        of, home_of = model.classes.of, whole.home_of
        for clique in whole.cover if self.unplaced else ():
            there = [home_of[node] for node in clique if node in home_of]
            for run in [*model.classes.runs, *map(set, model.classes.pairs)]:
                staying = [model.stay[i] for i in there if i in model.stay and of[i] in run]
                put_off = [self.unplaced[i] for i in there if i in self.unplaced and of[i] in run]
                if staying and put_off:
                    stays = model.cp.new_bool_var(f"one of {', '.join(literal.name for literal in staying)}")
                    model.cp.add_bool_or(staying).only_enforce_if(stays)
                    for literal in staying:
                        model.cp.add_implication(literal, stays)
                    for literal in put_off:
                        model.cp.add_implication(literal, ~stays)

    def _nobody_hangs_beside(self, whole: Instance, gap: float) -> None:
        """For each node within reach of a lid: who clashes with i hangs elsewhere, or i is not deferred."""
        model = self.model
        near = model.classes.near
        for i in self.group:
            for node in whole.graph[whole.homes[i]]:
                beside = [
                    model.x[node, c]
                    for c, items in enumerate(model.classes.members)
                    if (node, c) in model.x and whole.clash(i, items[0], gap)
                ]
                beside += [
                    literal
                    for k, c in enumerate(model.classes.coming)
                    if (literal := model.reserved.get((node, k))) is not None
                    and model.classes.of[i] in near[c]
                ]
                for literal in self.deferred(i):
                    for other in beside:
                        model.cp.add_implication(literal, ~other)
