"""The linear relaxation of a model: a bound proved in whole numbers, and what is dear beyond it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.linear_solver import pywraplp

from planner.engine.model.cp_sat import cp_model
from planner.engine.model.neighbour_pairs import Whole
from planner.engine.model.solver import Effort

SCALE = 2**20  # parts of a unit in which dual values are rounded, so that the bound is a sum of whole numbers


@dataclass(frozen=True)
class Relaxation:
    """A lower bound on the objective, and how much more a solution costs in which a variable is true.

    Both in ``SCALE``-ths of the objective's unit; ``reduced``: of each variable, 0 where nothing is known.
    """

    least: int
    reduced: Whole

    @property
    def bound(self) -> int:
        """The least whole number that a solution can cost."""
        return -(-self.least // SCALE)

    @property
    def dear(self) -> set[int]:
        """The variables that cost a unit more than the bound, or more: few optima need them."""
        found: list[int] = np.flatnonzero(self.reduced >= SCALE).tolist()
        return {*found}

    @property
    def bound_if_dear(self) -> int:
        """The least whole number that a solution with one of those can cost."""
        return -(-(self.least + SCALE) // SCALE)


def linear_relaxation(model: cp_model.CpModel, effort: Effort, work: float) -> Relaxation:
    """The relaxation of a model of Booleans of which a sum with whole coefficients is minimised.

    Parameters
    ----------
    work
        Deterministic seconds; where they do not suffice the bound is weaker, and true.

    Notes
    -----
    Lagrange: with a multiplier for each constraint, of the right sign, the least of the objective and of all
    that is undercut, each variable for itself between 0 and 1, is no more than any solution costs. The dual
    values of the linear program are the best multipliers. They are floats; rounded, they are multipliers as
    good, and the bound is reckoned from those. Constraints that are no sums and no cliques are left out.
    """
    proto = model.proto
    costs = np.zeros(len(proto.variables), dtype=np.int64)
    costs[list(proto.objective.vars)] = list(proto.objective.coeffs)
    rows = _undominated(list(_rows(proto)))
    fixed, reduced = 0, SCALE * costs
    for row, dual in zip(rows, _duals(costs, rows, effort, work), strict=True):
        y = round(SCALE * dual)
        if y:
            fixed += y * (row.least if y > 0 else row.most)
            reduced[row.variables] -= y * np.array(row.coefficients, dtype=np.int64)
    least = fixed + int(np.minimum(reduced, 0).sum()) + SCALE * round(proto.objective.offset)
    return Relaxation(least, np.maximum(reduced, 0))


@dataclass(frozen=True)
class _Row:
    """A sum of Booleans between two whole numbers."""

    variables: list[int]
    coefficients: list[int]
    least: int
    most: int

    @property
    def is_clique(self) -> bool:
        """Whether it says that at most one is true."""
        return self.least <= 0 and self.most == 1 and min(self.coefficients, default=0) == 1


def _rows(proto: Any) -> Iterator[_Row]:
    for constraint in proto.constraints:
        if len(constraint.enforcement_literal):
            continue
        for kind, least in (("at_most_one", 0), ("exactly_one", 1), ("bool_or", 1)):
            if _is(constraint, kind):
                literals = list(getattr(constraint, kind).literals)
                most = len(literals) if kind == "bool_or" else 1
                negated = sum(k < 0 for k in literals)
                signs = [-1 if k < 0 else 1 for k in literals]
                variables = [-k - 1 if k < 0 else k for k in literals]
                yield _Row(variables, signs, least - negated, most - negated)
        if _is(constraint, "linear"):
            linear = constraint.linear
            domain = list(linear.domain)
            yield _Row(list(linear.vars), list(linear.coeffs), domain[0], domain[-1])


def _undominated(rows: list[_Row]) -> list[_Row]:
    """The rows without the cliques that are part of another: half of them, on a line with sliding clips."""
    found: list[_Row] = []
    at: defaultdict[int, set[int]] = defaultdict(set)  # variable → the cliques it is in
    for k, row in enumerate(sorted(rows, key=lambda row: -len(row.variables))):
        if row.is_clique and row.variables:
            if set.intersection(*(at[v] for v in row.variables)):
                continue
            for v in row.variables:
                at[v].add(k)
        found.append(row)
    return found


def _is(constraint: Any, kind: str) -> bool:
    """Whether a constraint is of a kind: asked first, for in some versions to read another makes it that."""
    has = getattr(constraint, f"has_{kind}", None)
    return bool(constraint.HasField(kind) if has is None else has())


def _duals(costs: Whole, rows: list[_Row], effort: Effort, work: float) -> list[float]:
    """The dual value of each row, 0 where nothing was found."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    solver.SetSolverSpecificParametersAsString(f"max_deterministic_time:{work:g}")
    solver.SetTimeLimit(max(1, round(1000 * effort.clock.left)))
    infinity = solver.infinity()
    made = [solver.NumVar(0, 1, "") for _ in costs]
    goal = solver.Objective()
    for variable, cost in zip(made, costs.tolist(), strict=True):
        goal.SetCoefficient(variable, cost)
    goal.SetMinimization()
    constraints = []
    for row in rows:
        lowest = sum(min(0, one) for one in row.coefficients)
        highest = sum(max(0, one) for one in row.coefficients)
        least = -infinity if row.least <= lowest else row.least
        most = infinity if row.most >= highest else row.most
        constraint = solver.Constraint(least, most)
        for k, coefficient in zip(row.variables, row.coefficients, strict=True):
            constraint.SetCoefficient(made[k], coefficient)
        constraints.append(constraint)
    if solver.Solve() not in (solver.OPTIMAL, solver.FEASIBLE):
        return [0.0] * len(rows)
    return [one.dual_value() for one in constraints]
