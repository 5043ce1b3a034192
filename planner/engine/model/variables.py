"""The variables of the model: one Boolean per (open node, due class), one per item that may stay at home.

Items with one due are interchangeable, so the model never asks *who*, only *which due*; `read` and the
matching afterwards give the classes their items back.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence

from planner.engine.model.cp_sat import cp_model
from planner.engine.model.due_classes import due_classes
from planner.engine.model.estimate import terms_of
from planner.engine.model.instance import Instance, Node, SpotOf, spot_name
from planner.engine.model.sized_model import SizedModel
from planner.engine.model.solver import Answer, Effort

Var = cp_model.IntVar


class Variables(ABC):
    """The variables of one instance at one gap, and sums of them that are asked for again and again.

    Parameters
    ----------
    gap
        Days; neighbours closer than that clash.
    counted
        False: no clash is allowed. True: clashes are allowed and counted in ``clash`` (edge, either way
        round → Boolean), and barred items may stay at home.
    merge
        Whether dues that clash with the same others may be one class: not where the dues themselves matter.
    reserve
        Whether nodes are sought for those to come as well, as many as can be had (``missing``).
    demand
        Whether everybody must hang. False: who must is for the caller to say (``hung``).
    wanted
        Whether a class has any business at an open node; None: each may have.
    effort
        By which the model may become `TooLarge`; None: whatever its size.
    """

    def __init__(
        self,
        inst: Instance,
        gap: float,
        cover: Sequence[list[Node]] | None = None,
        *,
        counted: bool = False,
        merge: bool = True,
        reserve: bool = False,
        demand: bool = True,
        wanted: Callable[[Node, int], bool] | None = None,
        effort: Effort | None = None,
    ):
        self.inst, self.gap, self.counted, self.demand = inst, gap, counted, demand
        self.wanted = wanted or (lambda *_: True)
        self.cover = inst.cover if cover is None else cover
        self.classes = due_classes(inst, gap, merge=merge and not counted, with_coming=reserve)
        self.cp = SizedModel(effort)
        if wanted is None:  # else the model may be far smaller than that
            self.cp.expect(terms_of(inst, self.classes))
        told = "clashes counted" if counted else "without clashes"
        self.cp.name = f"{told}, gap {gap:g}" + (", with those to come" if reserve else "")
        self.x: dict[tuple[Node, int], Var] = {}
        self.stay: dict[int, Var] = {}
        self.reserved: dict[tuple[Node, int], Var] = {}  # (node, which of those to come)
        self.clash: dict[tuple[Node, Node], Var] = {}
        # node → class → its literals; node → its literals with from when and until when they take it
        self.at: dict[Node, dict[int, list[Var]]] = defaultdict(lambda: defaultdict(list))
        self.taking: dict[Node, list[tuple[Var, float, float]]] = defaultdict(list)
        self._variables()
        if reserve:
            self._reservations()
        self._constrain()

    @abstractmethod
    def _constrain(self) -> None:
        """Add the constraints, once all variables exist."""

    def _variables(self) -> None:
        inst, of = self.inst, self.classes.of
        needed = sorted({of[i] for i in inst.free_items})
        free = set(inst.free_items)  # a pinned one of the class may stay longer, but elsewhere
        vacated_by = {
            c: max(inst.vacated_by(i) for i in self.classes.members[c] if i in free) for c in needed
        }
        # Another of an item's class has no business in the home that it leaves.
        own = {node: of[item] for item, node in inst.homes.items()}
        undated = self.classes.undated
        dues = {c: "on any day" if c in undated else f"{self.classes.dues[c]:g}" for c in needed}
        dated = {c: f"class {c} due {dues[c]} at" for c in needed}
        for node in inst.open_nodes:
            shut = self._reserved_against(node) if self.counted else self._shut(node)
            spot = spot_name(node)
            for c in needed:
                wanted = self.wanted(node, c) and inst.leaves_in_time(node, vacated_by[c])
                if c not in shut and own.get(node) != c and wanted:
                    self._take(
                        node, c, self.x.setdefault((node, c), self._new(f"{dated[c]} {spot}")), vacated_by[c]
                    )
        for item, node in inst.homes.items():
            shut = self._reserved_against(node) if self.counted else self._shut(node)
            if of[item] not in shut and (self.counted or item not in inst.barred):
                self.stay[item] = self._new(f"{item} stays at {spot_name(node)}")
                self._take(node, of[item], self.stay[item], inst.vacated_by(item))

    def _new(self, name: str) -> Var:
        return self.cp.new_bool_var(name)

    def _take(self, node: Node, c: int, literal: Var, until: float, since: float = -math.inf) -> None:
        self.at[node][c].append(literal)
        self.taking[node].append((literal, since, until))

    def _reservations(self) -> None:
        """Literals for those to come: on open nodes, and on those that a pinned item may have left."""
        inst = self.inst
        for node in (*inst.open_nodes, *inst.pinned_at):
            shut = self._shut(node)
            for k, coming in enumerate(inst.coming):
                in_time = inst.leaves_in_time(node, coming.until)
                if not in_time or inst.disturbs_reservation(node, coming.due, coming.kind):
                    continue
                if self.classes.coming[k] not in shut and inst.chance(node, k):
                    self.reserved[node, k] = self._new(
                        f"reserved for {coming.name or k} at {spot_name(node)}"
                    )
                    self._take(
                        node, self.classes.coming[k], self.reserved[node, k], coming.until, coming.since
                    )

    def _shut(self, node: Node) -> set[int]:
        """Classes that a pinned neighbour, or a reservation beside it, keeps away from ``node``."""
        inst, shut = self.inst, self._reserved_against(node)
        for other in inst.graph[node] if inst.pinned else ():
            if other in inst.pinned_at:
                shut.update(self.classes.near[self.classes.of[inst.pinned_at[other]]])
        return shut

    def _reserved_against(self, node: Node) -> set[int]:
        """Classes that a reservation beside it keeps away from ``node``, also where clashes are counted."""
        inst = self.inst
        return {
            c
            for c, items in enumerate(self.classes.members if node in inst.reserved_beside else ())
            if items and inst.disturbs_reservation(node, self.classes.dues[c], inst.kind(items[0]))
        }

    def literals(self, node: Node, run: Iterable[int]) -> list[Var]:
        """Literals of which at least one is true when a class of ``run`` hangs at ``node``."""
        at = self.at.get(node)
        return [] if at is None else [literal for c in run for literal in at.get(c, ())]

    def hung(self) -> dict[int, list[Var]]:
        """Class → the literals of which as many are true as items of it hang somewhere; pinned ones aside."""
        by_class: dict[int, list[Var]] = defaultdict(list)
        for (_, c), literal in self.x.items():
            by_class[c].append(literal)
        for item, literal in self.stay.items():
            by_class[self.classes.of[item]].append(literal)
        return by_class

    @property
    def clash_count(self) -> cp_model.LinearExprT:
        """How many neighbour pairs clash; pending pairs, of which neither is moved, do not count."""
        pending = self.inst.pending_at_home(self.gap) if self.clash else {}
        counts = [(y, 1) for y in once(self.clash)]
        counts += [(self.stay[i], -many) for i, many in pending.items() if i in self.stay]
        return cp_model.LinearExpr.weighted_sum([y for y, _ in counts], [many for _, many in counts])

    @property
    def stays(self) -> cp_model.LinearExprT:
        """What is saved by those who stay at home: 1 for each, more for those dear to move."""
        return cp_model.LinearExpr.weighted_sum(
            list(self.stay.values()), [self.inst.price_of(i) for i in self.stay]
        )

    @property
    def missing(self) -> cp_model.LinearExprT:
        """How many to come have no reservation, in tenths: a node counts by its chance to be free."""
        chances = [self.inst.chance(*key) for key in self.reserved]
        return self.inst.to_come - cp_model.LinearExpr.weighted_sum(list(self.reserved.values()), chances)

    def hint(self, spot_of: SpotOf, reserved: Collection[tuple[Node, int]] = ()) -> None:
        """Start the search from ``spot_of``; always clears the hints given before."""
        self.cp.clear_hints()  # type: ignore[no-untyped-call]  # ortools has no types here
        true = {(node, self.classes.of[i]) for i, node in spot_of.items()}
        for key, literal in self.x.items():
            self.cp.add_hint(literal, key in true)
        for item, literal in self.stay.items():
            self.cp.add_hint(literal, spot_of.get(item) == self.inst.homes[item])
        for key, literal in self.reserved.items():
            self.cp.add_hint(literal, key in reserved)

    def read(self, answer: Answer) -> SpotOf:
        """The solution as item → node; items of one class in ascending order of node position."""
        spot_of = dict(self.inst.pinned)
        for item, literal in self.stay.items():
            if answer.on(literal):
                spot_of[item] = self.inst.homes[item]
        nodes_of: dict[int, list[Node]] = defaultdict(list)
        for (node, c), literal in self.x.items():
            if answer.on(literal):
                nodes_of[c].append(node)
        for c, nodes in nodes_of.items():
            movers = [i for i in self.classes.members[c] if i not in spot_of]
            spot_of.update(zip(movers, nodes, strict=True))
        return spot_of


def once(both_ways: dict[tuple[Node, Node], Var]) -> list[Var]:
    """Each of the Booleans that stand for both ways round."""
    return list({y.index: y for y in both_ways.values()}.values())
