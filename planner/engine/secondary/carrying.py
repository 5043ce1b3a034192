"""What carrying costs, in a tidy order by date: the last objective."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable
from dataclasses import dataclass

import numpy as np

from planner.engine.model import budget
from planner.engine.model.instance import EPS, Instance, Node, SpotOf
from planner.engine.model.neighbour_pairs import Whole
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


def exchanged(inst: Instance, spot_of: SpotOf, carrying: Carrying) -> SpotOf:
    """The assignment with nodes exchanged among items of one due and kind, so that least is carried."""
    alike = {i: (round(inst.dues[i] / EPS), inst.kind(i)) for i in inst.touched(spot_of)}
    moved = {i: (alike[i], carrying.source(i)) for i in alike}
    return match(spot_of, moved, carrying.cost)
