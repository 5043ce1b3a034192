"""The permutation model, for full racks on which every date occurs once: a date per node, NoOverlap cliques.

With as many items as nodes and no two alike, "which class hangs here" is a permutation, and each clique of
neighbours a machine on which jobs one gap long must not overlap. On such instances (the antibandwidth
problem) this proves in seconds what the model by class does not in a minute.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

from planner.engine.model.cp_sat import cp_model
from planner.engine.model.instance import EPS, Instance, Node, SpotOf, spot_name
from planner.engine.model.solver import Answer

SCALE = round(1 / EPS)


def is_permutation(inst: Instance) -> bool:
    """Whether an instance is a permutation: every node is taken, all dues differ, and only dates matter."""
    dues = sorted(inst.dues)
    distinct = all(b - a > EPS for a, b in pairwise(dues))
    plain = inst.only_dates_matter and not (inst.homes or inst.risky)
    return distinct and plain and len(inst.free_items) == len(inst.open_nodes)


def busiest_of_mirrored(inst: Instance) -> Node | None:
    """The node with most neighbours, where dates mirrored about their middle are the same problem; else None.

    Of an arrangement and its mirror image one has an early date there.
    """
    dues = sorted(inst.dues)
    if inst.pinned or any(
        abs(a + b - dues[0] - dues[-1]) >= EPS for a, b in zip(dues, reversed(dues), strict=True)
    ):
        return None
    return max(inst.open_nodes, key=lambda node: inst.graph.degree(node))


class PermutationModel:
    """The model of dates on nodes, at least ``gap`` days apart on neighbours."""

    def __init__(self, inst: Instance, gap: float):
        self.inst, self.gap = inst, gap
        self.cp = cp_model.CpModel()
        self.cp.name = f"permutation, gap {gap:g}"
        self.unit = 1 if all(due.is_integer() for due in inst.dues) else SCALE
        self.item_at = {round(due * self.unit): i for i, due in enumerate(inst.dues)}
        free = cp_model.Domain.from_values([round(inst.dues[i] * self.unit) for i in inst.free_items])
        self.date: dict[Node, cp_model.IntVar] = {
            node: self.cp.new_int_var_from_domain(free, f"date at {spot_name(node)}")
            for node in inst.open_nodes
        }
        for node, item in inst.pinned_at.items():
            self.date[node] = self.cp.new_constant(round(inst.dues[item] * self.unit))
        self.each_date_once()
        self.neighbours_apart()
        self.one_way_round()

    def each_date_once(self) -> None:
        """All dates differ, so that each item hangs once: intervals of one unit that do not overlap."""
        nodes = self.inst.open_nodes
        self.cp.add_no_overlap(
            [self.cp.new_fixed_size_interval_var(self.date[n], 1, f"once at {spot_name(n)}") for n in nodes]
        )

    def neighbours_apart(self) -> None:
        """For each clique of the cover: intervals as long as the gap do not overlap."""
        width = math.ceil((self.gap - EPS) * self.unit)
        pinned_at = self.inst.pinned_at
        for clique in self.inst.cover:
            if sum(node in pinned_at for node in clique) <= 1:
                self.cp.add_no_overlap([self._apart(node, width) for node in clique])
            else:  # two pinned items may be too close: they are no decision
                for a, b in combinations(clique, 2):
                    if a not in pinned_at or b not in pinned_at:
                        self.cp.add_no_overlap([self._apart(a, width), self._apart(b, width)])

    def _apart(self, node: Node, width: int) -> cp_model.IntervalVar:
        return self.cp.new_fixed_size_interval_var(self.date[node], width, f"apart at {spot_name(node)}")

    def one_way_round(self) -> None:
        """Where the problem is its own mirror image, keep the busiest node in the first half."""
        busiest = busiest_of_mirrored(self.inst)
        if busiest is not None:
            middle = min(self.inst.dues) + max(self.inst.dues)
            self.cp.add(2 * self.date[busiest] <= round(middle * self.unit))

    def hint(self, spot_of: SpotOf) -> None:
        """Start from ``spot_of``; always clears the hints given before."""
        self.cp.clear_hints()  # type: ignore[no-untyped-call]  # ortools has no types here
        for item in self.inst.free_items:
            self.cp.add_hint(self.date[spot_of[item]], round(self.inst.dues[item] * self.unit))

    def read(self, answer: Answer) -> SpotOf:
        """The solution as item → node."""
        return {self.item_at[answer.number(var)]: node for node, var in self.date.items()}
