"""The constraints of the model: one function each, with formula and reason; ``CONSTRAINTS`` lists them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

from planner.engine.model.cp_sat import cp_model
from planner.engine.model.penalties import clashes_counted
from planner.engine.model.variables import Var, Variables


def everyone_hangs(m: Variables) -> None:
    """For each class c: sum over nodes s of x[s, c] + stays of its items = its items. Nobody is forgotten.

    For those to come: at most as many nodes as there will be of them, whenever they come.
    """
    by_class = m.hung() if m.demand else {}
    for c, items in enumerate(m.classes.members):
        free = sum(i not in m.inst.pinned for i in items)
        if free and m.demand:
            m.cp.add(cp_model.LinearExpr.sum(by_class.get(c, [])) == free)
    of_coming: dict[int, list[Var]] = defaultdict(list)
    for (_, k), literal in m.reserved.items():
        of_coming[m.inst.first_of[k]].append(literal)
    for k, literals in of_coming.items():
        m.cp.add(cp_model.LinearExpr.sum(literals) <= m.inst.coming[k].count)


def one_per_spot(m: Variables) -> None:
    """For each node s and moment: at most one hangs there; exactly one when there is no spot to spare.

    (A home in no open node is open to one item only.) The counts imply "exactly one", but only saying so
    lets a spot's last possible class propagate: without it full racks are out of reach.
    """
    full = m.demand and not m.inst.homes and len(m.inst.free_items) == len(m.inst.open_nodes)
    for node in list(m.taking):
        if full and not m.reserved:
            m.cp.add_exactly_one([literal for literal, _, _ in m.taking[node]])
        else:
            _one_at_a_time(m, m.taking[node])
    if full and any(node not in m.taking for node in m.inst.open_nodes):
        m.cp.add_bool_or([])  # a spot that nobody can take, and none to spare


def clips_fit(m: Variables) -> None:
    """For each set of nodes closer than a clip's width and each moment: at most one of them is taken.

    Of those whose homes are too close already as many may stay as like, but beside them nobody comes.
    """
    for nodes in m.inst.exclusive:
        takings = [taking for node in nodes for taking in m.taking.get(node, ())]
        items = (m.inst.home_of[node] for node in nodes if node in m.inst.home_of)
        stays = {m.stay[i].index for i in items if i in m.stay}
        if len(stays) < 2:
            _one_at_a_time(m, takings)
            continue
        for one in stays:
            _one_at_a_time(m, [t for t in takings if t[0].index == one or t[0].index not in stays])


def _one_at_a_time(m: Variables, takings: Sequence[tuple[Var, float, float]]) -> None:
    """At most one of those who are there at once; that changes only when somebody comes."""
    before: set[int] = set()
    for now in sorted({since for _, since, _ in takings}):
        there = [literal for literal, since, until in takings if since <= now < until]
        indices = {literal.index for literal in there}
        if len(there) > 1 and not indices <= before:
            m.cp.add_at_most_one(there)
        before = indices


def neighbours_apart(m: Variables) -> None:
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


def reserved_apart(m: Variables) -> None:
    """In a counted model, for each reserved node and neighbour: not both it and a class that clashes there.

    (Else `neighbours_apart` says so.) Those of today may clash where they must; a node on which one to come
    would clash is of no use to it.
    """
    if not m.counted:
        return
    for (node, k), literal in m.reserved.items():
        near = m.classes.near[m.classes.coming[k]]
        for other in m.inst.graph[node]:
            if there := m.literals(other, near):
                m.cp.add_at_most_one([literal, *there])


CONSTRAINTS: tuple[Callable[[Variables], None], ...] = (
    everyone_hangs,
    one_per_spot,
    clips_fit,
    neighbours_apart,
    clashes_counted,
    reserved_apart,
)
