"""Repair by local search: exchanges that part the clashes of a start, long before the exact model would."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

from planner.engine.model import budget
from planner.engine.model.due_classes import DueClasses, due_classes
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.solver import Effort
from planner.engine.model.tight_nodes import TightNodes

HOT, COLD = 0.3, 0.1  # temperature, in clashes


def repair(inst: Instance, gap: float, start: SpotOf, effort: Effort) -> SpotOf:
    """A start with fewer clashes, or none: simulated annealing by exchanges of what hangs on two spots.

    The cost is the number of clashes at ``gap`` days; one of the two spots always has a clash, the other may
    be empty. Who stays at home goes on staying, so that nobody more is touched. The same seed gives the same
    answer, if it ends before the clock. Returned is what has fewest clashes; where clips slide, nodes are
    reserved, or dates are too many, ``start`` as it is.
    """
    if not inst.only_dates_matter or not inst.clashes(start, gap):
        return start
    classes = due_classes(inst, gap)
    if len(classes) > budget.REPAIR_CLASSES:
        return start
    state = _State(inst, classes, start)
    proposals = min(budget.REPAIR_MOST, max(budget.REPAIR_LEAST, budget.REPAIR_EACH * len(state.near)))
    rng = random.Random(effort.seed)
    best, fewest, done = state.item[:], state.clashes, 0
    try:
        while state.tight and done < proposals and effort.clock.left > 0:
            state.exchange(rng.random, HOT * (COLD / HOT) ** (done / proposals))
            done += state.round
            if state.clashes < fewest:
                best, fewest = state.item[:], state.clashes
    except KeyboardInterrupt:
        effort.clock.interrupt()
    return {i: node for node, i in zip(state.nodes, best, strict=True) if i >= 0}


class _State(TightNodes):
    """Spots as numbers, those that may change first; an empty one has a class of its own without clashes."""

    def __init__(self, inst: Instance, classes: DueClasses, start: SpotOf):
        at = {node: i for i, node in start.items()}
        fixed = {node: None for i, node in start.items() if i in inst.pinned or inst.homes.get(i) == node}
        moving = [node for node in inst.open_nodes if node not in fixed]  # all others hang on one of these
        self.nodes = [*moving, *fixed]
        index = {node: k for k, node in enumerate(self.nodes)}
        empty = len(classes)
        self.clash = [bytearray(empty + 1) for _ in range(empty + 1)]
        for c, near in enumerate(classes.near):
            for d in near:
                self.clash[c][d] = 1
        self.near: list[Sequence[int]] = [
            [k for other in inst.graph.adj[node] if (k := index.get(other, -1)) >= 0 and other != node]
            for node in moving
        ]
        self.item = [at.get(node, -1) for node in self.nodes]
        self.of = [empty if i < 0 else classes.of[i] for i in self.item]
        bad = [sum(self.clash[self.of[k]][self.of[w]] for w in near) for k, near in enumerate(self.near)]
        super().__init__(bad, [True] * len(moving))
        among = sum(  # pairs on two spots that may change have been counted at both
            self.clash[self.of[k]][self.of[w]]
            for k, near in enumerate(self.near)
            for w in near
            if w < len(moving)
        )
        self.clashes = sum(self.bad) - among // 2
        # Where neighbours abound a proposal takes longer.
        each = max(1, sum(map(len, self.near)) // max(1, len(moving)))
        self.round = max(1, min(budget.REPAIR_ROUND, budget.REPAIR_LOOKS // each))

    def exchange(self, rand: Callable[[], float], heat: float) -> None:
        """Propose exchanges at one temperature: the hot loop, so what is refused costs no call."""
        of, near, clash, bad, tight, item = self.of, self.near, self.clash, self.bad, self.tight, self.item
        n, likely = len(near), [math.exp(-d / heat) for d in range(9)]
        for _ in range(self.round):
            i, j = tight[int(rand() * len(tight))], int(rand() * n)
            a, b = of[i], of[j]
            if a == b:
                continue
            of_a, of_b = clash[a], clash[b]
            change = -bad[i] - bad[j]
            for w in near[i]:
                change += of_b[of[w]]
            if change > len(likely) + 1:
                continue
            for w in near[j]:
                change += of_a[of[w]]
            if j in near[i]:  # as neighbours of one another they clash as before
                change += 2 * of_a[b] - of_a[a] - of_b[b]
            if change <= 0 or (change < len(likely) and rand() < likely[change]):
                self.put(i, b)
                self.put(j, a)
                item[i], item[j] = item[j], item[i]
                self.clashes += change
                if not tight:
                    return

    def put(self, k: int, c: int) -> None:
        """Give a spot another class and count again who clashes with it."""
        was, now, of, bad = self.clash[self.of[k]], self.clash[c], self.of, self.bad
        here, n = 0, len(bad)
        for w in self.near[k]:
            d = of[w]
            here += now[d]
            if w < n and (change := now[d] - was[d]):
                bad[w] += change
                self.sort_in(w)
        of[k], bad[k] = c, here
        self.sort_in(k)
