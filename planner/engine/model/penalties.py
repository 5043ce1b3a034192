"""Penalties of clashes that cannot be avoided: one Boolean per neighbour pair."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import combinations

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.instance import EPS, Instance, Node, SpotOf, spot_name
from planner.engine.model.variables import Variables, once

Var = cp_model.IntVar
Penalty = Callable[[float], int]  # days between two dues → how bad a clash that is; never rising


def clashes_counted(m: Variables) -> None:
    """In a counted model, for each edge e: ``clash[e]`` is true where its ends hang closer than the gap."""
    if m.counted:
        m.clash = count_closer(m, m.classes.runs, m.classes.pairs)


def count_closer(
    m: Variables,
    runs: Sequence[Sequence[int]],
    pairs: Sequence[tuple[int, int]] = (),
    what: str = "clash",
) -> dict[tuple[Node, Node], Var]:
    """Booleans y: for each edge e = (s, t) and run r, (s holds one of r) + (t holds one of r) <= 1 + y[e].

    A pinned end counts as a constant; pairs of two pinned items are no decision and are left out. So are
    those to come: they keep their distance from all (`neighbours_apart`, `reserved_apart`), and one may
    follow another of its day on a node. For each clique q and run r, the k of r in q make k (k - 1) / 2 such
    pairs, so for every whole j: j k - j (j + 1) / 2 <= sum of y[e in q]. Implied, but it lifts the bound:
    j = 1 where few are too many, greater ones where it is crowded. Returns y, with each edge both ways round.
    """
    pinned_at, of = m.inst.pinned_at, m.classes.of
    left_out = {literal.index for literal in m.reserved.values()}
    y: dict[tuple[Node, Node], Var] = {}

    def side(node: Node, run: Sequence[int]) -> tuple[list[Var], int]:
        literals = [one for one in m.literals(node, run) if one.index not in left_out]
        return literals, int(node in pinned_at and of[pinned_at[node]] in run)

    for u, v in m.inst.graph.edges:
        sides = [(run, run) for run in runs] + [((c,), (d,)) for c, d in pairs]
        for left, right in sides if u not in pinned_at or v not in pinned_at else ():
            (a, a1), (b, b1) = side(u, left), side(v, right)
            if (a or a1) and (b or b1):
                if (u, v) not in y:
                    y[u, v] = y[v, u] = m.cp.new_bool_var(f"{what} {spot_name(u)} {spot_name(v)}")
                m.cp.spend(len(a) + len(b))
                m.cp.add(cp_model.LinearExpr.sum(a + b) + (a1 + b1) <= 1 + y[u, v])
    crowds: list[tuple[cp_model.LinearExprT, cp_model.LinearExprT, int, int]] = []
    order = {node: k for k, node in enumerate(m.inst.graph)} if m.inst.excludes else {}
    for clique in m.cover:
        if len(clique) < 3 or sum(node in pinned_at for node in clique) > 1:
            continue
        edges = [y[pair] for pair in combinations(clique, 2) if pair in y]
        fits = _side_by_side(m.inst, sorted(clique, key=order.__getitem__)) if order else len(clique)
        for run in runs if edges else ():
            parts = [side(node, run) for node in clique]
            if sum(bool(lits or one) for lits, one in parts) > 2:
                literals = [lit for lits, _ in parts for lit in lits]
                total = cp_model.LinearExpr.sum(literals) + sum(one for _, one in parts)
                most = min(fits, sum(len(m.classes.members[c]) for c in run))
                crowds.append((total, cp_model.LinearExpr.sum(edges), most, len(literals) + len(edges)))
    _crowds_counted(m, crowds)
    return y


def _crowds_counted(
    m: Variables, crowds: Sequence[tuple[cp_model.LinearExprT, cp_model.LinearExprT, int, int]]
) -> None:
    """The rows of `count_closer` for cliques: (how many hang there, pairs, how many may, terms of a row).

    All for j = 1; then for 2 and so on, as long as the budget lasts.
    """
    left = budget.CROWDED_TERMS
    for j in range(1, max((most for *_, most, _ in crowds), default=1)):
        for total, pairs, most, terms in crowds:
            if j == 1 or (j < most and left >= terms):
                m.cp.spend(terms)
                m.cp.add(j * total - j * (j + 1) // 2 <= pairs)
                left -= terms if j > 1 else 0


def _side_by_side(inst: Instance, nodes: Sequence[Node]) -> int:
    """How many of those nodes can be taken at once, for the width of clips; ``nodes``: along their line."""
    shut = set[Node]()
    taken = 0
    for node in nodes:
        if node not in shut:
            taken += 1
            shut |= inst.excludes.get(node, set())
    return taken


def count(both_ways: dict[tuple[Node, Node], Var]) -> cp_model.LinearExprT:
    """How many of Booleans that stand for both ways round are true."""
    return cp_model.LinearExpr.sum(once(both_ways))


def weighted_clashes(m: Variables, penalty: Penalty) -> cp_model.LinearExprT:
    """The sum of ``penalty(whole days between the dues)`` over the clashes.

    ``penalty`` never rises with the days, so the sum is the penalty of the mildest clash for each of them,
    plus a step for each whole day d that is undercut ("closer than d" is a Boolean per edge).
    """
    days = range(1, math.ceil(m.gap - EPS))
    terms = [penalty(days[-1] if days else 0) * count(m.clash)]
    for d in days:
        closer = count_closer(m, m.classes.runs_at(d), what=f"closer than {d}")
        terms.append((penalty(d - 1) - penalty(d)) * count(closer))
    return cp_model.LinearExpr.sum(terms)


NEAR_DATES = (1, 2)  # days more than the gap


def count_near_dates(inst: Instance, spot_of: SpotOf, gap: float) -> int:
    """The number of neighbour pairs closer than gap + 2 days, plus those closer than gap + 1 day."""
    return sum(inst.closer(spot_of, gap + days) for days in NEAR_DATES)
