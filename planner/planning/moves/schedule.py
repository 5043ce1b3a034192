"""A schedule of the steps: place by place as far as precedence allows; who is parked goes on at once."""

from __future__ import annotations

import heapq
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any

import networkx as nx

from planner.planning.moves.precedence import Step


def sessions(windows: Mapping[Step, tuple[datetime, datetime]], now: datetime) -> list[list[Step]]:
    """The steps shared out into sessions: all that can begin by now, then as few later ones as will do.

    A step comes in no session before its predecessors, as these begin and end no later than itself.
    """
    found = [[step for step, (start, _) in windows.items() if start <= now]]
    rest = [step for step, (start, _) in windows.items() if start > now]
    while rest:
        at = min(windows[step][1] for step in rest)
        found.append([step for step in rest if windows[step][0] <= at])
        rest = [step for step in rest if windows[step][0] > at]
    return [session for session in found if session]


def in_sequence(
    steps: nx.DiGraph[Step],
    groups: Iterable[Iterable[Step]],
    place: Callable[[Step], Any],
    key: Callable[[Step], Any],
) -> list[Step]:
    """The steps in an order in which none comes before a predecessor.

    Parameters
    ----------
    groups
        Sessions: all of one before any of the next.
    place
        Where a step starts; the least comes first if it can. A place once begun is gone on with as long as
        a step there can be done; if all of it can be done at once it comes before one that would be left
        half done.
    key
        What to sort the steps of one place by.
    """
    parked = [item for item, n in steps if n == 1]
    firm = steps.copy()
    for item in parked:  # nobody is parked before all is ready for it to go on soon
        early, later = nx.ancestors(firm, (item, 1)), nx.descendants(firm, (item, 0))
        firm.add_edges_from((step, (item, 0)) for step in early - later - {(item, 0)})
    prerequisites = {item: {(item, 1), *nx.ancestors(firm, (item, 1))} for item in parked}
    result: list[Step] = []
    for session in groups:
        here: nx.DiGraph[Step] = nx.DiGraph()
        here.add_nodes_from(session)
        here.add_edges_from(firm.subgraph(session).edges)
        result += _Session(here, prerequisites, place, key).run()
    return result


class _Session:
    """One session: what is done, and what can be done next."""

    def __init__(
        self,
        steps: nx.DiGraph[Step],
        prerequisites: Mapping[int, set[Step]],
        place: Callable[[Step], Any],
        key: Callable[[Step], Any],
    ):
        self.steps, self.prerequisites = steps, prerequisites
        self.place = {step: place(step) for step in steps}
        # Who is parked is parked last of its place, and goes on first.
        self.key = {
            (item, n): ((n == 0) - (n == 1) if item in prerequisites else 0, key((item, n)), item, n)
            for item, n in steps
        }
        # Isolated steps, most of them as a rule, are only counted.
        self._order = [step for step in nx.topological_sort(steps) if steps.degree(step)]
        self._lone = Counter(self.place[step] for step in steps if not steps.degree(step))
        self.unmet = dict(steps.in_degree())
        self.ready: defaultdict[Any, list[tuple[Any, Step]]] = defaultdict(list)
        self.open: set[int] = set()  # parked, and not yet gone on
        self.done: set[Step] = set()
        self.stale: set[Any] = set()  # places of which something was done
        for step, number in self.unmet.items():
            if not number:
                self._push(step)

    def _push(self, step: Step) -> None:
        heapq.heappush(self.ready[self.place[step]], (self.key[step], step))

    def run(self) -> list[Step]:
        result: list[Step] = []
        here: Any = None
        for _ in range(len(self.steps)):
            if self.open:
                step = self._of_open(here)
            else:
                self._forget_done()
                if here not in self.ready:
                    here = min(self.ready, key=self._worth)
                step = self.ready[here][0][1]
            here = self.place[step]
            self._do(step)
            result.append(step)
        return result

    def _do(self, step: Step) -> None:
        self.done.add(step)
        self.stale.add(self.place[step])
        self._lone[self.place[step]] -= not self.steps.degree(step)
        if step[0] in self.prerequisites:
            (self.open.add if step[1] == 0 else self.open.discard)(step[0])
        for later in self.steps.successors(step):
            self.unmet[later] -= 1
            if not self.unmet[later]:
                self._push(later)

    def _of_open(self, here: Any) -> Step:
        """The next step towards those that are parked going on."""
        needed = set[Step]().union(*(self.prerequisites[item] for item in self.open)) - self.done
        able = [step for step in needed if step in self.unmet and not self.unmet[step]]
        return min(able, key=lambda step: (self.place[step] != here, self.place[step], self.key[step]))

    def _forget_done(self) -> None:
        for at in self.stale:
            heap = self.ready[at]
            while heap and heap[0][1] in self.done:
                heapq.heappop(heap)
            if not heap:
                del self.ready[at]
        self.stale.clear()

    def _worth(self, at: Any) -> Any:
        """What to sort places by when one is to be chosen."""
        if self._counted != len(self.done):
            self._count()
        doable, left = self._doable[at], self._left[at]
        return self._first[at], doable < left, -doable, at

    _counted = -1

    def _count(self) -> None:
        """For each place: steps left, how many could be done without leaving it, who depends on it."""
        self._counted = len(self.done)
        order = [step for step in self._order if step not in self.done]
        able: set[Step] = set()
        self._left, self._doable = +self._lone, +self._lone
        for step in order:
            at = self.place[step]
            self._left[at] += 1
            before = self.steps.predecessors(step)
            if all(p in self.done or (p in able and self.place[p] == at) for p in before):
                able.add(step)
                self._doable[at] += 1
        first: dict[Step, Any] = {}
        self._first: dict[Any, Any] = {at: at for at in self._left if self._lone[at] > 0}
        for step in reversed(order):
            at = self.place[step]
            first[step] = min([at, *(first[s] for s in self.steps.successors(step))])
            self._first[at] = min(first[step], self._first.get(at, first[step]))
