"""The CP-SAT model: one Boolean per (open node, due class), one per item that may stay at home.

Items with one due are interchangeable, so the model never asks *who*, only *which due*; `read` and the
matching afterwards give the classes their items back. One function per constraint; `_CONSTRAINTS` is the
whole list.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from itertools import combinations

from ortools.sat.python import cp_model

from planner.plan.classes import due_classes
from planner.plan.instance import EPS, Instance, Node, SpotOf
from planner.plan.solving import Answer

Var = cp_model.IntVar


class HangModel:
    """The model of one instance at one gap.

    Parameters
    ----------
    gap
        Days; neighbours closer than that clash.
    counted
        False: no clash is allowed. True: clashes are allowed and counted in ``clash`` (edge, either way
        round → Boolean), and barred items may stay at home.
    merge
        Whether dues that clash with the same others may be one class: not where the dues themselves matter.
    """

    def __init__(
        self,
        inst: Instance,
        gap: float,
        cover: Sequence[list[Node]] | None = None,
        *,
        counted: bool = False,
        merge: bool = True,
    ):
        self.inst, self.gap, self.counted = inst, gap, counted
        self.cover = inst.cover if cover is None else cover
        self.classes = due_classes(inst, gap, merge=merge and not counted)
        self.cp = cp_model.CpModel()
        self.x: dict[tuple[Node, int], Var] = {}
        self.stay: dict[int, Var] = {}
        self.clash: dict[tuple[Node, Node], Var] = {}
        self.at: dict[Node, dict[int, list[Var]]] = defaultdict(dict)  # node → class → its literals
        self._variables()
        for constraint in _CONSTRAINTS:
            constraint(self)

    def _variables(self) -> None:
        inst, of = self.inst, self.classes.of
        needed = sorted({of[i] for i in inst.free_items})
        for node in inst.open_nodes:
            shut = set() if self.counted else self._shut(node)
            for c in needed:
                if c not in shut:
                    self.x[node, c] = self.cp.new_bool_var("")
                    self.at[node][c] = [self.x[node, c]]
        for item, node in inst.homes.items():
            if self.counted or (item not in inst.barred and of[item] not in self._shut(node)):
                self.stay[item] = self.cp.new_bool_var("")
                self.at[node][of[item]] = [self.stay[item]]

    def _shut(self, node: Node) -> set[int]:
        """Classes that a pinned neighbour keeps away from ``node``."""
        inst, shut = self.inst, set[int]()
        if not inst.pinned:
            return shut
        for other in inst.graph[node]:
            if other in inst.held:
                shut.update(self.classes.near[self.classes.of[inst.held[other]]])
        return shut

    def literals(self, node: Node, run: Iterable[int]) -> list[Var]:
        """Literals of which at least one is true when a class of ``run`` hangs at ``node``."""
        at = self.at.get(node, {})
        return [literal for c in run for literal in at.get(c, ())]

    @property
    def clash_count(self) -> cp_model.LinearExprT:
        """How many neighbour pairs clash."""
        return _count(self.clash)

    def worry(self, worry: Callable[[float], int]) -> cp_model.LinearExprT:
        """Sum of ``worry(whole days between the dues)`` over the clashes.

        ``worry`` never rises with the days, so it is the worry of the mildest clash for each of them, and a
        step more for each whole day d that is undercut ("closer than d" is a Boolean per edge).
        """
        days = range(1, math.ceil(self.gap - EPS))
        terms = [worry(days[-1] if days else 0) * self.clash_count]
        for d in days:
            closer = count_closer(self, self.classes.runs_at(d))
            terms.append((worry(d - 1) - worry(d)) * _count(closer))
        return cp_model.LinearExpr.sum(terms)

    @property
    def stays(self) -> cp_model.LinearExprT:
        """How many items stay at home."""
        return cp_model.LinearExpr.sum(list(self.stay.values()))

    def hint(self, spot_of: SpotOf) -> None:
        """Start the search from ``spot_of``; always clears the hints given before."""
        self.cp.clear_hints()  # type: ignore[no-untyped-call]  # ortools has no types here
        true = {(node, self.classes.of[i]) for i, node in spot_of.items()}
        for key, literal in self.x.items():
            self.cp.add_hint(literal, key in true)
        for item, literal in self.stay.items():
            self.cp.add_hint(literal, spot_of.get(item) == self.inst.homes[item])

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


def everyone_hangs(m: HangModel) -> None:
    """For each class c: sum over nodes s of x[s, c] + stays of its items = its items. Nobody is forgotten."""
    by_class: dict[int, list[Var]] = defaultdict(list)
    for (_, c), literal in m.x.items():
        by_class[c].append(literal)
    for item, literal in m.stay.items():
        by_class[m.classes.of[item]].append(literal)
    for c, items in enumerate(m.classes.members):
        free = sum(i not in m.inst.pinned for i in items)
        if free:
            m.cp.add(cp_model.LinearExpr.sum(by_class[c]) == free)


def one_per_spot(m: HangModel) -> None:
    """For each open node s: at most one class hangs there; exactly one when there is no spot to spare.

    (A home is open to one item only.) The counts imply "exactly one", but only saying so lets a spot's last
    possible class propagate: without it full racks are out of reach.
    """
    full = not m.inst.homes and len(m.inst.free_items) == len(m.inst.open_nodes)
    for node in m.inst.open_nodes:
        literals = m.literals(node, m.at.get(node, ()))
        if full:
            m.cp.add_exactly_one(literals)
        elif len(literals) > 1:
            m.cp.add_at_most_one(literals)


def neighbours_apart(m: HangModel) -> None:
    """For each clique q of the cover and run r of mutually clashing classes: at most one of r hangs in q.

    Every pair of neighbours lies in some clique and every pair of clashing classes in some run, so this is
    exactly "no clash"; as products of cliques the constraints are far tighter than pair by pair.
    """
    if m.counted:
        return
    for clique in m.cover:
        for run in m.classes.runs:
            sides = [lits for node in clique if (lits := m.literals(node, run))]
            if len(sides) > 1:
                m.cp.add_at_most_one([literal for side in sides for literal in side])
    for u, v in m.inst.graph.edges if m.classes.pairs else ():
        for c, d in m.classes.pairs:
            if (one := m.literals(u, (c,))) and (other := m.literals(v, (d,))):
                m.cp.add_at_most_one([*one, *other])


def clashes_counted(m: HangModel) -> None:
    """In a counted model: ``clash[e]`` for each edge whose ends hang closer than the gap."""
    if m.counted:
        m.clash = count_closer(m, m.classes.runs, m.classes.pairs)


def count_closer(
    m: HangModel, runs: Sequence[Sequence[int]], pairs: Sequence[tuple[int, int]] = ()
) -> dict[tuple[Node, Node], Var]:
    """For each edge e = (s, t) and run r: (s holds one of r) + (t holds one of r) <= 1 + y[e].

    A pinned end counts as a constant; pairs of two pinned items are no decision and are left out. For each
    clique q and run r, k of r in q make at least k - 1 such pairs, so (how many of r in q) <= 1 + sum of
    y[e in q]: implied, but it lifts the bound. Returns y, with each edge both ways round.
    """
    held, of = m.inst.held, m.classes.of
    y: dict[tuple[Node, Node], Var] = {}

    def side(node: Node, run: Sequence[int]) -> tuple[list[Var], int]:
        return m.literals(node, run), int(node in held and of[held[node]] in run)

    for u, v in m.inst.graph.edges:
        sides = [(run, run) for run in runs] + [((c,), (d,)) for c, d in pairs]
        for left, right in sides if u not in held or v not in held else ():
            (a, a1), (b, b1) = side(u, left), side(v, right)
            if (a or a1) and (b or b1):
                if (u, v) not in y:
                    y[u, v] = y[v, u] = m.cp.new_bool_var("")
                m.cp.add(cp_model.LinearExpr.sum(a + b) + (a1 + b1) <= 1 + y[u, v])
    for clique in m.cover:
        if len(clique) < 3 or sum(node in held for node in clique) > 1:
            continue
        edges = [y[pair] for pair in combinations(clique, 2) if pair in y]
        for run in runs if edges else ():
            parts = [side(node, run) for node in clique]
            if sum(bool(lits or one) for lits, one in parts) > 2:
                total = cp_model.LinearExpr.sum([lit for lits, _ in parts for lit in lits])
                m.cp.add(total + sum(one for _, one in parts) <= 1 + cp_model.LinearExpr.sum(edges))
    return y


def _count(both_ways: dict[tuple[Node, Node], Var]) -> cp_model.LinearExprT:
    return cp_model.LinearExpr.sum(list({y.index: y for y in both_ways.values()}.values()))


_CONSTRAINTS: tuple[Callable[[HangModel], None], ...] = (
    everyone_hangs,
    one_per_spot,
    neighbours_apart,
    clashes_counted,
)
