"""Local search by ruin and recreate: a few items are taken down and hung again where they cost least."""

from __future__ import annotations

import math
import random

from planner.engine.model import budget
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.solver import Effort
from planner.engine.secondary.fields import Costs, Fields

WARM = 0.6  # of the steps, in which the temperature falls to none; the others gain on what comes after


def ruin_and_recreate(
    inst: Instance,
    start: SpotOf,
    costs: Costs,
    enough: int,
    effort: Effort,
    heat: float = 0.0,
    calm_heat: float = 0.0,
) -> SpotOf:
    """An arrangement that costs no more than ``start``, as a rule far less.

    Parameters
    ----------
    inst
        No home is an open node.
    enough
        A cost below which only a few more steps are made.
    heat, calm_heat
        The first temperature, as a cost, and that of the few more steps.

    Notes
    -----
    Large-neighbourhood search. At each step two to five items are taken down: one that costs something, or
    any; then some that hang beside it, or any. In random order each is hung where it costs least beside those
    that hang. A step that costs more than before is taken back, but for a few at first, as in simulated
    annealing; what was best is returned. So shifting along a line, moving to
    another place and exchanging are all one kind of step. One kind more decides who is moved at all: one that
    was moved goes home, and those leave who could not stay beside it. With one seed the answer is always the
    same, unless the clock ends it.
    """
    if not inst.free_items:
        return start
    search = _Search(Fields(inst, costs, start), random.Random(effort.seed))
    steps = min(
        budget.RECREATED_MOST,
        max(budget.RECREATED_LEAST, budget.RECREATED_EACH * len(inst.free_items)),
        budget.RECREATED_WORK // (len(search.fields.nodes) * (1 + len(costs.beside) // 8)),
    )
    best, least, end = start, search.fields.total, steps
    begun = None  # step from which on only what comes last is gained
    try:
        search.descend(effort)
        for step in range(steps):
            if search.fields.total < least:
                best, least = dict(search.fields.at), search.fields.total
            if step % budget.RECREATED_ROUND == 0:
                search.heat = heat * (1 - step / (WARM * steps))
                if least < enough:
                    begun = step if begun is None else begun
                    more = min(budget.RECREATED_CALM_MOST, budget.RECREATED_CALM * len(search.moved))
                    end = min(end, begun + more)
                    search.heat = calm_heat * (1 - (step - begun) / (WARM * more)) if more else 0.0
                if step >= end or effort.clock.left <= 0:
                    break
            search.step()
        if search.fields.total <= least:
            best = dict(search.fields.at)
    except KeyboardInterrupt:
        effort.clock.interrupt()
    return best


class _Search:
    def __init__(self, fields: Fields, rng: random.Random):
        self.fields, self.rng, inst = fields, rng, fields.inst
        self.items, self.heat = list(inst.free_items), 0.0
        self.moved = [i for i in self.items if fields.at[i] != inst.homes.get(i)]
        sort, beside = fields.costs.sort, fields.costs.beside
        # Item → those of whom it parts itself by leaving, if it can ever go home.
        self.instead: dict[int, list[int]] = {}
        for i, home in inst.homes.items():
            near = [(j, sort[j]) for node in inst.graph.adj[home] if (j := _owner(inst, node)) is not None]
            apart = [j for j, s in near if beside[sort[i], s] >= fields.costs.touch]
            if not any(j in inst.pinned for j in apart):
                self.instead[i] = apart

    def _cost_now(self, item: int) -> int:
        return self.fields.cost(item, self.fields.at[item])

    def descend(self, effort: Effort) -> None:
        """Each item once to where it costs least, those first that cost most."""
        for item in sorted(self.moved, key=lambda i: -self._cost_now(i)):
            if effort.clock.left <= 0:
                return
            self._recreate([item])

    def step(self) -> None:
        """One step: see `ruin_and_recreate`."""
        rng, fields, moved = self.rng, self.fields, self.moved
        if not moved:
            return
        kind = rng.random()
        first = rng.choice(moved)
        if kind < 0.5:
            first = max(rng.sample(moved, min(3, len(moved))), key=self._cost_now)
        leave = [j for j in self.instead.get(first, ()) if fields.at[j] == fields.inst.homes[j]]
        if first in self.instead and kind > 0.6 and len(leave) <= 2:
            rest = rng.sample(moved, min(len(moved), rng.randint(0, 2)))
            self._recreate(list(dict.fromkeys((first, *leave, *rest))))
            self.moved = [i for i in self.items if fields.at[i] != fields.inst.homes.get(i)]
            return
        beside = [i for i in fields.beside(fields.at[first]) if fields.at[i] != fields.inst.homes.get(i)]
        chosen = [first]
        for _ in range(rng.randint(1, 4)):
            chosen.append(rng.choice(beside) if beside and rng.random() < 0.5 else rng.choice(moved))
        chosen = list(dict.fromkeys(chosen))
        rng.shuffle(chosen)
        self._recreate(chosen)

    def _recreate(self, chosen: list[int]) -> None:
        """Take those down and hang each, in order, where it costs least; undo it where that costs more."""
        fields = self.fields
        before = [(item, fields.at[item]) for item in chosen]
        saved = sum(fields.take(item) for item, _ in before)
        spent, hung = 0, []
        for item in chosen:
            node = fields.best(item)
            if node is None:
                break
            spent += fields.put(item, node)
            hung.append(item)
        if len(hung) == len(chosen) and self._accepts(spent - saved):
            fields.total += spent - saved
            return
        for item in hung:
            fields.take(item)
        for item, node in before:
            fields.put(item, node)

    def _accepts(self, more: int) -> bool:
        if more <= 0:
            return True
        return self.heat > 0 and more < 20 * self.heat and self.rng.random() < math.exp(-more / self.heat)


def _owner(inst: Instance, node: object) -> int | None:
    """Whose home a node is, or who is pinned there."""
    return inst.home_of.get(node, inst.pinned_at.get(node))
