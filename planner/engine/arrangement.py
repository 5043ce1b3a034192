"""An arrangement: who hangs where, what was proved, and a check by plain loops."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

import networkx as nx

N = TypeVar("N", bound=Hashable)
TOLERANCE = 2e-6  # days; gaps that differ by less are one


@dataclass(frozen=True, repr=False)
class Arrangement(Generic[N]):
    """Who hangs where, and what was proved.

    Attributes
    ----------
    spot_of
        Item index → node.
    smallest_gap
        Days between the closest dues of two neighbours; infinite when nobody has a neighbour.
    clashes
        Neighbouring item pairs closer than ``gap``; empty without one.
    bound
        Without ``gap``: no arrangement has a wider smallest gap than this. With it: none has fewer clashes.
    proved
        Whether the bound is reached, so that nothing better exists.
    gap
        The gap asked for, days; None: the widest.
    graph, dues, pinned
        What was arranged, dues in days.
    """

    spot_of: dict[int, N]
    smallest_gap: float
    clashes: tuple[tuple[int, int], ...]
    bound: float
    proved: bool
    gap: float | None = None
    graph: nx.Graph[Any] = field(default_factory=nx.Graph, compare=False)
    dues: tuple[float, ...] = field(default=(), compare=False)
    pinned: Mapping[int, N] = field(default_factory=dict, compare=False)

    def __repr__(self) -> str:
        items = f"{len(self.spot_of)} item{'' if len(self.spot_of) == 1 else 's'}"
        gap = f"smallest gap {_days(self.smallest_gap)}"
        if self.gap is None:
            proof = "proved widest" if self.proved else f"not proved: at most {_days(self.bound)}"
            return f"<Arrangement of {items}: {gap}, {proof}>"
        count = len(self.clashes)
        clashes = f"{count or 'no'} clash{'' if count == 1 else 'es'} at gap {_days(self.gap)}"
        proof = "" if not count else ", proved fewest" if self.proved else f", at least {self.bound:g} needed"
        return f"<Arrangement of {items}: {clashes}{proof}; {gap}>"

    def verify(self) -> None:
        """Reckon everything again from graph and dues, by plain loops that share nothing with the search.

        The bound is only held against what was reached: whether it is true needs a search.

        Raises
        ------
        ValueError
            Says all that is wrong.
        """
        wrong = [*self._misplaced()]
        if not wrong:
            wrong = [*self._miscounted()]
        if wrong:
            raise ValueError("; ".join(wrong))

    def _misplaced(self) -> list[str]:
        wrong = []
        at: dict[N, int] = {}
        for item in range(len(self.dues)):
            if item not in self.spot_of:
                wrong.append(f"item {item} hangs nowhere")
        for item, node in self.spot_of.items():
            if item not in range(len(self.dues)):
                wrong.append(f"there is no item {item!r}")
            if node not in self.graph:
                wrong.append(f"item {item} hangs at {node!r}, which is not in the graph")
            if node in at:
                wrong.append(f"items {at[node]} and {item} both hang at {node!r}")
            at[node] = item
        for item, node in self.pinned.items():
            if item in self.spot_of and self.spot_of[item] != node:
                wrong.append(f"item {item} is pinned to {node!r} and hangs at {self.spot_of[item]!r}")
        return wrong

    def _miscounted(self) -> list[str]:
        at = {node: item for item, node in self.spot_of.items()}
        smallest, clashes = math.inf, set[tuple[int, int]]()
        for u, v in self.graph.edges():
            if u == v or u not in at or v not in at:
                continue
            days = abs(self.dues[at[u]] - self.dues[at[v]])
            smallest = min(smallest, days)
            if self.gap is not None and days < self.gap - TOLERANCE / 2:
                clashes.add((min(at[u], at[v]), max(at[u], at[v])))
        wrong = []
        if smallest != self.smallest_gap and not abs(smallest - self.smallest_gap) <= TOLERANCE:
            wrong.append(f"the smallest gap is {_days(smallest)}, not {_days(self.smallest_gap)}")
        for pair in sorted(clashes - set(self.clashes)):
            wrong.append(f"items {pair[0]} and {pair[1]} clash and are not listed")
        for pair in sorted(set(self.clashes) - clashes):
            wrong.append(f"items {pair[0]} and {pair[1]} do not clash and are listed")
        if self.gap is None and smallest > self.bound + TOLERANCE:
            wrong.append(f"the gap {_days(smallest)} is beyond its bound, {_days(self.bound)}")
        if self.gap is not None and len(clashes) < self.bound:
            wrong.append(f"{len(clashes)} clashes are fewer than their bound, {self.bound:g}")
        reached = smallest >= self.bound - TOLERANCE if self.gap is None else len(clashes) <= self.bound
        if self.proved and not reached:
            wrong.append("it is called proved, but its bound is not reached")
        return wrong


def _days(days: float) -> str:
    if math.isinf(days):
        return "infinite (nobody has a neighbour)" if days > 0 else "-infinite"
    return f"{days:.6g} day{'' if days == 1 else 's'}"
