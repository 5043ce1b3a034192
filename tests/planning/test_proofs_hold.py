"""However a search ends, no bound is beyond the truth, and what is called proved is the best there is."""

from random import Random

import networkx as nx
import pytest
from graph_world import cut_short, fault_of_arrange
from hypothesis import given
from hypothesis import strategies as st
from proof_world import any_season, fault_in, fault_of_plan
from season_world import ON, day, level, line, pupa, season, tub
from tries import tries

from planner import arrange
from planner.engine.model.solver import safe_bound
from planner.engine.search.bounds import possible_gaps, widest_below, widest_by_cliques
from planner.planning.make_plan import make_plan
from planner.season import Board


@tries(100)
@given(st.integers(0, 2**40))
def test_of_any_small_graph_nothing_false_is_said(seed):
    assert fault_of_arrange(Random(seed)) is None


@tries(25)
@given(st.integers(0, 2**40))
def test_of_no_level_of_a_small_season_anything_false_is_said(seed):
    assert not fault_of_plan(Random(seed))


@pytest.mark.parametrize("work", [0, 1e-6, 1e-4, 1e-2])
@pytest.mark.parametrize("at", range(1, 4))
def test_a_bound_that_was_not_proved_is_not_taken_for_one(at, work):
    # Annealing aside, 6 is reached within 20 s, and proved.
    with cut_short(at, work):
        a = arrange(nx.grid_2d_graph(5, 6), [(7 * i) % 12 for i in range(26)], seconds=20, workers=1)
    assert a.bound >= 6
    assert not a.proved or a.smallest_gap == 6


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("asked", [1, 3, 9, 27, 81])
def test_a_plan_stopped_at_any_question_claims_nothing_false(asked, seed):
    questions = iter(range(10**9))
    case = any_season(Random(seed))
    plan = make_plan(case, ON, seconds=20, workers=1, stop=lambda: next(questions) >= asked)
    assert not fault_in(case, plan)


@pytest.mark.parametrize(
    ("stated", "maximize", "bound"),
    [
        (2.2, False, 3),  # no whole number from 2.2 on is less than 3
        (2.7, True, 2),
        (3.0000001, False, 3),  # within the tolerance it is 3
        (2.9999999, True, 3),
        (-2.5, False, -2),
        (-2.5, True, -3),
        (float("inf"), True, None),
    ],
)
def test_a_bound_is_the_next_whole_number_that_can_be_reached(stated, maximize, bound):
    assert safe_bound(stated, maximize=maximize) == bound


def test_a_pair_that_hangs_already_is_no_proof_where_those_that_hang_may_be_moved():
    # h0 and h1 clash, and either could be hung on the cork board instead; the search for that is cut off.
    places = [
        line(marks=2, left=6), tub(clear=True, front=0, height=140),
        Board(name="cork", width=8, height=4, pins_every=6, bottom=120, left=0, front=0),
    ]  # fmt: skip
    stay = [pupa(name, 6, stay=True) for name in ("m0", "m3")]
    hung = [pupa(f"h{k}", 2, place="n", spot=str(4 * k + 4), hung=day(8)) for k in (0, 1)]
    case = season(places, [*stay, pupa("m1", 3), pupa("m2", 5, x=6, y=15), *hung], lowest=40, highest=190)
    with cut_short(3, 1e-6):
        plan = make_plan(case, ON, seconds=20, workers=1, rehang=True)
    assert not fault_in(case, plan, rehang=True)


def test_of_very_many_dates_a_gap_between_two_listed_ones_is_not_ruled_out():
    # 5 dues; at most 3 gaps are listed, of steps 0, 5 and 10 days: 0, 6 and 10. Below 6 the widest is 4.
    dues = [0, 4, 10]
    assert possible_gaps(dues, most=2)[-1] == float("inf")
    assert widest_below(dues, 10) == 6
    assert widest_below(dues, 6) == 4
    assert widest_below(dues, float("inf")) == 10


def test_a_clique_bounds_the_gap_by_a_true_difference_of_two_dues():
    # Three of four dues on a triangle: 0, 4, 10 are 4 apart; 0, 5, 10 would be 5.
    assert widest_by_cliques([0, 4, 5, 10], [["a", "b", "c"]], 0) == 5


def pair_that_stays():
    """Two a day apart hang side by side and may not be moved; two more are hung far from them."""
    return season(
        [tub(clear=True), line(marks=9)],
        [
            pupa("h", 5, "n", spot="4"), pupa("k", 6, "n", spot="8"),
            pupa("a", 1), pupa("b", 5),
        ],
    )  # fmt: skip


@pytest.mark.parametrize("widest", [False, True])
def test_the_smallest_gap_is_that_of_all_neighbours_also_of_those_that_may_not_be_moved(widest):
    plan = make_plan(pair_that_stays(), ON, seconds=20, workers=1, widest=widest)
    assert [(pair.a, pair.b) for pair in plan.clashes] == [("h", "k")]
    assert plan.neighbours["smallest_gap"] == 1
    if widest:
        told = level(plan, "smallest_gap")
        assert (told.value, told.bound, told.proved) == (1, 1, True)


@pytest.mark.parametrize("seed", range(6))
def test_widest_is_never_less_wide_than_without_it(seed):
    case = any_season(Random(seed))
    gaps = []
    for widest in (False, True):
        plan = make_plan(case, ON, seconds=20, workers=1, widest=widest)
        gaps.append(plan.neighbours.get("smallest_gap", float("inf")))
    assert gaps == sorted(gaps)
