"""Risk as a secondary objective: least sum of what neighbours cost one another."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.due_classes import cliques_of
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.neighbour_pairs import ends_of
from planner.engine.model.pair_costs import PairCosts
from planner.engine.model.penalties import count, count_closer
from planner.engine.model.solver import Effort, solve_repeatably
from planner.engine.model.variables import Variables
from planner.engine.search.who_stays import HomeModel
from planner.engine.secondary.fixed_levels import fix_touched

STEPS = 6  # thresholds of cost in one model; of more distinct costs some are rounded down


def risk_level(inst: Instance, spot_of: SpotOf, risk: PairCosts, unit: int, bound: int) -> Level:
    """The level ``risk``: the costs of all neighbour pairs in ``unit``-ths, those of two pinned items too.

    ``bound``: proved of the pairs of which one at least is not pinned.
    """
    value, least = risk.total(inst.graph, spot_of), cost_of_pinned(inst, risk) + bound
    return Level(name="risk", value=value / unit, bound=least / unit, proved=value == least)


def cost_of_pinned(inst: Instance, risk: PairCosts) -> int:
    """What pairs of two pinned items cost: no decision."""
    return risk.sum(ends_of(inst.graph).pairs(dict(inst.pinned)))


def least_risk(inst: Instance, gap: float, touched: int, risk: PairCosts, effort: Effort) -> int:
    """A lower bound on what neighbours of whom one at least is not pinned cost, if nobody clashes.

    Parameters
    ----------
    gap
        Days.
    touched
        What moving costs in all.

    Notes
    -----
    A relaxation: whoever is moved costs nothing on its new node. What is left is who stays at home: no more
    are moved than ``touched``, and each two that stay as neighbours cost what they cost.
    """
    try:
        model = HomeModel(inst, gap, effort)
    except TooLarge:
        return 0
    cp, stay = model.cp, model.stay
    terms: list[tuple[cp_model.IntVar, int]] = []
    for i, one in stay.items():
        near = inst.pinned_beside(inst.homes[i])
        if alone := sum(risk.cost(risk.kind[i], risk.kind[j]) for j in near):
            terms.append((one, alone))
    for i, j in model.pairs:
        if cost := risk.cost(risk.kind[i], risk.kind[j]):
            both = cp.new_bool_var(f"{i} and {j} stay")
            cp.add_bool_or([stay[i].negated(), stay[j].negated(), both])
            terms.append((both, cost))
    cp.add(model.stays >= inst.price_of_all - touched)
    if not terms:
        return 0
    cp.minimize(cp_model.LinearExpr.weighted_sum([v for v, _ in terms], [w for _, w in terms]))
    if len(terms) > budget.SECONDARY_SOLVED:
        return 0
    answer = solve_repeatably(cp, effort, budget.LEAST_RISK)
    return max(0, answer.bound or 0)


def without_dearer(inst: Instance, risk: PairCosts, most: int | None) -> Instance:
    """The instance in which no two are neighbours who cost more than ``most``: they clash.

    ``most`` None: all may be. Each kind of the instance is of one kind of ``risk``.
    """
    number: dict[tuple[int, int], int] = {}
    kinds = tuple(number.setdefault((inst.kind(i), risk.kind[i]), len(number)) for i in range(len(inst.dues)))
    costs = None if most is None else risk.of_each([cost for _, cost in number])
    risky = {
        (one, other)
        for (kind, _), one in number.items()
        for (kind_too, _), other in number.items()
        if (kind, kind_too) in inst.risky or (costs is not None and costs[one, other] > most)
    }
    # Those for whom a node is reserved cost nothing, but clash as before: each of their kinds is one more.
    known = sorted({kind for those in inst.reserved_beside.values() for _, kind in those})
    of_coming = {kind: len(number) + k for k, kind in enumerate(known)}
    risky |= {
        (one, of_coming[k]) for (kind, _), one in number.items() for k in known if (kind, k) in inst.risky
    }
    beside = {
        node: tuple((due, of_coming[kind]) for due, kind in those)
        for node, those in inst.reserved_beside.items()
    }
    nobody = len(number) + len(known)  # kinds are told apart only where some are at risk
    return replace(inst, kinds=kinds, risky=frozenset({*risky, (nobody, nobody)}), reserved_beside=beside)


def least_risk_of_all(
    inst: Instance, start: SpotOf, gap: float, risk: PairCosts, effort: Effort
) -> tuple[SpotOf, int]:
    """The arrangement with the least risk that is found, and what it is at least, of pairs not both pinned.

    The exact model, for small racks: nobody clashes, and moving costs no more than in ``start``.
    """
    added = risk.total(inst.graph, start) - cost_of_pinned(inst, risk)
    kinds = len({(inst.kind(i), risk.kind[i]) for i in range(len(inst.dues))})
    size = (inst.graph.number_of_edges() + len(inst.open_nodes)) * kinds
    if not added or size > budget.RISK_SOLVED:  # asked first: to tell each two kinds apart takes long
        return start, 0
    rest = without_dearer(inst, risk, added)
    effort.say("least risk")
    try:
        model = HangModel(rest, gap, merge=False, effort=effort)
        fix_touched(rest, inst.handling(start))(model)
        model.cp.minimize(added_cost(model, risk))
    except TooLarge:
        return start, 0
    model.hint(start)
    answer = solve_repeatably(model.cp, effort, budget.RISK_WORK)
    found = model.read(answer) if answer.solved else start
    best = min(start, found, key=lambda spot_of: risk.total(inst.graph, spot_of))
    return best, max(0, answer.bound or 0)


def added_cost(m: Variables, risk: PairCosts) -> cp_model.LinearExprT:
    """The sum of the costs of neighbours of which one at least is not pinned; a bit less of many costs.

    ``m``: of an instance from `without_dearer`. Costs are steps: for each step c that some pair costs, every
    pair that costs c or more adds what c is above the step before.
    """
    classes = m.classes
    of = [risk.kind[items[0]] if items else 0 for items in classes.members]
    cost = np.array([[risk.cost(a, b) for b in of] for a in of], dtype=np.int64)
    clash = np.zeros(cost.shape, dtype=bool)
    for c, near in enumerate(classes.near):
        clash[c, list(near)] = True
    distinct = np.unique(cost[~clash & (cost > 0)])
    steps = distinct if len(distinct) <= STEPS else distinct[:: -(-len(distinct) // STEPS)]
    terms, below = [], 0
    for step in steps.tolist():
        near_ = [set(np.flatnonzero(row >= step).tolist()) for row in cost]
        runs, pairs = cliques_of(near_)
        closer = count_closer(m, runs, pairs, what=f"costs {step} or more")
        terms.append((step - below) * count(closer))
        below = step
    return cp_model.LinearExpr.sum(terms)
