"""The linear relaxation of a model: no bound beyond what some solution costs."""

from __future__ import annotations

import random
from itertools import product

from planner.engine.model.cp_sat import cp_model
from planner.engine.model.linear_relaxation import linear_relaxation
from planner.engine.model.solver import Clock, Effort

EFFORT = Effort(Clock(1e6), workers=1)  # from when this is read: a busy machine takes long


def least_of(costs, cliques, sums):
    """Of all ways to set the Booleans that keep the cliques and sums; None where none does."""
    found = [
        sum(c for c, one in zip(costs, values, strict=True) if one)
        for values in product((0, 1), repeat=len(costs))
        if all(sum(values[k] for k in clique) <= 1 for clique in cliques)
        and all(sum(values[k] for k in those) == many for those, many in sums)
    ]
    return min(found, default=None)


def modelled(costs, cliques, sums):
    model = cp_model.CpModel()
    x = [model.new_bool_var(f"x{k}") for k in range(len(costs))]
    for clique in cliques:
        model.add_at_most_one([x[k] for k in clique])
    for those, many in sums:
        model.add(sum(x[k] for k in those) == many)
    model.minimize(cp_model.LinearExpr.weighted_sum(x, costs))
    return model


def test_the_bound_is_rounded_up_to_the_next_whole_cost():
    # Of each two of three one is true: half of each, 3 · 1 / 2 = 1.5, so 2 or more.
    model = cp_model.CpModel()
    x = [model.new_bool_var(f"x{k}") for k in range(3)]
    for a, b in ((0, 1), (1, 2), (0, 2)):
        model.add_bool_or([x[a], x[b]])
    model.minimize(sum(x))
    assert linear_relaxation(model, EFFORT, 1.0).bound == 2


def test_negated_literals_and_an_offset_count():
    model = cp_model.CpModel()
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add_at_most_one([a.negated(), b.negated()])  # one at least is true
    model.add_exactly_one([a, b])
    model.minimize(3 * a + 5 * b + 7)
    assert linear_relaxation(model, EFFORT, 1.0).bound == 10


def test_without_work_the_bound_is_trivial_and_true():
    model = modelled([4, 2], [], [((0, 1), 1)])
    assert linear_relaxation(model, EFFORT, 0.0).bound in (0, 2)


def test_no_bound_and_nothing_left_out_is_beyond_the_truth_on_random_models():
    for seed in range(200):
        rng = random.Random(seed)
        n = rng.randint(2, 9)
        costs = [rng.randint(-3, 12) for _ in range(n)]
        cliques = [rng.sample(range(n), rng.randint(2, min(4, n))) for _ in range(rng.randint(0, 6))]
        sums = [
            (rng.sample(range(n), rng.randint(1, n)), rng.randint(0, 2)) for _ in range(rng.randint(0, 2))
        ]
        least = least_of(costs, cliques, sums)
        if least is None:
            continue
        relaxed = linear_relaxation(modelled(costs, cliques, sums), EFFORT, 1.0)
        assert relaxed.bound <= least, seed
        for k in relaxed.dear:  # the best with one of those true
            with_it = least_of(costs, cliques, [*sums, ((k,), 1)])
            assert with_it is None or with_it >= relaxed.bound_if_dear, (seed, k)
