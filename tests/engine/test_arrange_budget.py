"""`arrange` on more than there is time for: no model beyond the estimate, and nothing false."""

import math
import os
import signal
from itertools import permutations
from random import Random

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner import arrange
from planner.engine import affordable_fewest, affordable_widest, within_budget
from planner.engine.capacity import fewest_by_capacity, largest_stable_by_cliques
from planner.engine.model import budget, variables
from planner.engine.model.estimate import affordable_terms, most_classes, terms_at, terms_at_any_gap
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.rounded import rounded
from planner.engine.search import lexicographic, widest_gap


def terms_of(model):
    """Booleans and literals in constraints, as they were really made."""
    found = len(model.cp.proto.variables)
    for c in model.cp.proto.constraints:
        found += len(c.linear.vars) + len(c.at_most_one.literals) + len(c.exactly_one.literals)
    return found


def kings(rows, columns):
    graph = nx.grid_2d_graph(rows, columns)
    down = [(r, c) for r in range(rows - 1) for c in range(columns)]
    graph.add_edges_from(((r, c), (r + 1, c + d)) for r, c in down for d in (-1, 1) if 0 <= c + d < columns)
    return graph


def some_instance(rng):
    graph = rng.choice([kings, nx.grid_2d_graph])(rng.randint(1, 5), rng.randint(2, 5))
    dues = tuple(rng.uniform(0, 20) for _ in range(rng.randint(1, len(graph))))
    return Instance(graph, dues, {}, tuple(graph))


@tries(60)
@given(st.integers(0, 2**40))
def test_no_model_has_more_terms_than_were_estimated(seed):
    rng = Random(seed)
    inst, gap = some_instance(rng), rng.uniform(0, 12)
    assert terms_of(HangModel(inst, gap)) <= terms_at_any_gap(inst, len(set(inst.dues)))
    assert terms_of(HangModel(inst, gap)) <= terms_at(inst, gap)
    assert terms_of(HangModel(inst, gap, counted=True)) <= terms_at(inst, gap)


def test_as_many_classes_are_taken_as_a_model_may_have_terms_for():
    inst = Instance(kings(5, 5), tuple(map(float, range(25))), {}, tuple(kings(5, 5)))
    classes = most_classes(inst, 20_000)
    assert terms_at_any_gap(inst, classes) <= 20_000 < terms_at_any_gap(inst, classes + 1)
    assert most_classes(inst, 10) == 0


@tries(100)
@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=30), st.integers(1, 8))
def test_rounding_makes_few_classes_and_tells_its_error(dues, classes):
    near = rounded(Instance(nx.empty_graph(len(dues)), tuple(dues), {}, ()), classes)
    assert len(set(near.inst.dues)) <= classes
    for a, x in zip(dues, near.inst.dues, strict=True):
        for b, y in zip(dues, near.inst.dues, strict=True):
            assert abs(abs(a - b) - abs(x - y)) <= near.error + 1e-9


def test_one_due_far_from_all_others_does_not_make_the_rest_coarse():
    # 0 to 9 in tenths and one in a million: with four classes three intervals of 0.2 hold the ten.
    near = rounded(Instance(nx.empty_graph(11), (*(k / 10 for k in range(10)), 1e6), {}, ()), 4)
    assert near.error <= 0.3 + 1e-9


@tries(60)
@given(st.integers(0, 2**40))
def test_no_arrangement_has_fewer_clashes_than_the_bound_by_capacity(seed):
    rng = Random(seed)
    graph = nx.gnp_random_graph(rng.randint(1, 6), rng.uniform(0.2, 0.9), seed=rng.randrange(2**31))
    dues = tuple(rng.choice([0.0, 1, 1.5, 2, 5]) for _ in range(rng.randint(1, len(graph))))
    inst, gap = Instance(graph, dues, {}, tuple(graph)), rng.choice([0, 0.5, 1, 2, 4, 9])
    ways = (dict(enumerate(nodes)) for nodes in permutations(graph, len(dues)))
    fewest = min(len(inst.clashes(way, gap)) for way in ways)
    stable = max(len(s) for s in map(set, _stable_sets(graph)))
    assert fewest_by_capacity(dues, gap, stable) <= fewest
    assert largest_stable_by_cliques(inst) >= stable


def test_the_nodes_of_a_kings_grid_are_parted_into_squares_of_four():
    graph = kings(4, 6)  # six squares; and six kings can stand apart
    assert largest_stable_by_cliques(Instance(graph, (), {}, tuple(graph))) == 6


def _stable_sets(graph):
    return nx.find_cliques(nx.complement(graph))


def test_the_bound_by_capacity_adds_up_over_separate_dates():
    # Of four due on one day two must be beside others on a rack that holds two apart; twice that is four.
    assert fewest_by_capacity([1, 1, 1, 1, 9, 9, 9, 9], 2, 2) == 4
    assert fewest_by_capacity([1, 1, 1, 1, 9, 9, 9, 9], 20, 2) == 6  # all eight clash
    assert fewest_by_capacity([1, 1, 1, 1], 0, 2) == 0  # nobody clashes


@pytest.fixture
def few_runs(monkeypatch):
    """Local search ends after three runs, instead of when the time is over."""
    monkeypatch.setattr(within_budget.Budget, "while_time", lambda _: iter(range(3)))
    monkeypatch.setattr(budget, "REPAIR_LEAST", 2000)
    monkeypatch.setattr(budget, "REPAIR_EACH", 10)
    monkeypatch.setattr(budget, "ANNEALING_EACH", 50)


@pytest.fixture
def small(monkeypatch, few_runs):
    """No more terms than a handful of classes need, so that dues are rounded."""
    monkeypatch.setattr(budget, "TERMS_LEAST", 300)
    monkeypatch.setattr(budget, "TERMS_EACH_SECOND", 1)
    monkeypatch.setattr(budget, "ROUNDED_CLASSES", 2)
    monkeypatch.setattr(budget, "ANNEALING_MOST", 1)


def test_of_rounded_dues_nothing_false_is_said(small):
    asked = 0
    for seed in range(60):
        rng = Random(seed)
        graph = nx.gnp_random_graph(rng.randint(3, 6), rng.uniform(0.3, 0.9), seed=seed)
        dues = [rng.choice([0, 0.3, 1, 1.1, 1.5, 2, 3.7, 5]) for _ in range(rng.randint(2, len(graph)))]
        gap = rng.choice([None, None, 0.5, 1.2, 2, 4])
        pinned = {0: rng.randrange(len(graph))} if rng.random() < 0.3 else None
        a = arrange(graph, dues, gap=gap, pinned=pinned, seconds=20, workers=1)
        a.verify()
        ways = [way for way in permutations(graph, len(dues)) if not pinned or way[0] == pinned[0]]
        inst = Instance(graph, tuple(map(float, dues)), {}, tuple(graph))
        if gap is None:
            widest = max(inst.smallest_gap(dict(enumerate(way))) for way in ways)
            assert a.bound >= widest - 2e-6
            assert not a.proved or a.smallest_gap == pytest.approx(widest, abs=2e-6)
        else:
            fewest = min(len(inst.clashes(dict(enumerate(way)), gap)) for way in ways)
            assert a.bound <= fewest
            assert not a.proved or len(a.clashes) == fewest
        asked += not a.proved
    assert asked  # not all were so easy that nothing was open


@pytest.mark.parametrize("gap", [None, 4.5])
@pytest.mark.parametrize("items", [190, 200])
def test_of_a_large_question_no_model_is_made_that_is_beyond_what_it_may_cost(
    monkeypatch, few_runs, items, gap
):
    made = []
    real = variables.Variables.__init__

    def noted(model, *given, **options):
        real(model, *given, **options)
        made.append(terms_of(model))

    monkeypatch.setattr(variables.Variables, "__init__", noted)
    monkeypatch.setattr(budget, "TERMS_LEAST", 1000)
    monkeypatch.setattr(budget, "TERMS_EACH_SECOND", 1000)
    monkeypatch.setattr(budget, "ANNEALING_MOST", 100)  # else a full rack is asked otherwise
    rng = Random(1)
    a = arrange(kings(10, 20), [rng.uniform(0, 20) for _ in range(items)], gap=gap, seconds=30, workers=1)
    a.verify()
    assert all(terms <= affordable_terms(30) for terms in made)
    assert a.smallest_gap > 2 if gap is None else len(a.clashes) < 60


def test_where_there_is_no_time_at_all_somebody_hangs_everywhere():
    a = arrange(kings(30, 40), [k / 7 for k in range(1100)], seconds=0, workers=1)
    a.verify()
    assert not a.proved
    b = arrange(kings(30, 40), [k / 7 for k in range(1100)], gap=9, seconds=0, workers=1)
    b.verify()


@pytest.mark.parametrize("exact", [False, True])
@pytest.mark.parametrize("module", [affordable_widest, affordable_fewest])
def test_a_lack_of_memory_ends_a_step_and_not_the_search(monkeypatch, small, module, exact):
    asked = []

    def fails(*_given, **_options):
        asked.append(1)
        raise MemoryError

    for name in ("widen", "solve_lexicographic"):
        monkeypatch.setattr(module, name, fails, raising=False)
    monkeypatch.setattr(budget, "TERMS_LEAST", 10**9 if exact else 4000)
    gap = None if module is affordable_widest else 2.5
    a = arrange(kings(3, 5), [k / 3 for k in range(15)], gap=gap, seconds=20, workers=1)
    a.verify()
    assert asked


@pytest.mark.parametrize("gap", [None, 3])
def test_ctrl_c_returns_the_best_found(monkeypatch, gap):
    pressed = []
    for module in (widest_gap, lexicographic):
        real = module.solve

        def interrupted(model, effort, *more, real=real):
            if not pressed:
                pressed.append(os.kill(os.getpid(), signal.SIGINT))
            return real(model, effort, *more)

        monkeypatch.setattr(module, "solve", interrupted)
    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr(budget, "REPAIR_LEAST", 100)
    monkeypatch.setattr(budget, "REPAIR_EACH", 1)
    a = arrange(kings(5, 6), [(7 * k) % 12 for k in range(28)], gap=gap, seconds=3600, workers=1)
    a.verify()
    assert pressed
    assert (a.proved, signal.getsignal(signal.SIGINT)) == (False, before)


def test_who_handles_ctrl_c_goes_on_doing_so(monkeypatch):
    noted = []
    monkeypatch.setattr(budget, "REPAIR_LEAST", 100)
    real = widest_gap.solve

    def interrupted(model, effort, *more):
        os.kill(os.getpid(), signal.SIGINT)
        return real(model, effort, *more)

    monkeypatch.setattr(widest_gap, "solve", interrupted)
    before = signal.signal(signal.SIGINT, lambda *_: noted.append(1))
    try:
        a = arrange(kings(3, 3), [0, 1, 2, 4, 5, 6, 8, 9], seconds=20, workers=1)
    finally:
        signal.signal(signal.SIGINT, before)
    assert (bool(noted), a.proved) == (True, True)
    assert math.isfinite(a.smallest_gap)
