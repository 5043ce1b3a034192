"""Each constraint of the model: one feasible case, one infeasible, one whose optimum is known."""

from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Coming
from planner.engine.model.solver import solve
from planner.engine.search.lexicographic import solve_lexicographic


def status(inst, gap, effort, **options):
    return solve(HangModel(inst, gap, **options).cp, effort).status


def unreserved(inst, gap, effort, *, counted=False):
    """How many of those to come can get no node, at the least."""
    model = HangModel(inst, gap, reserve=True, counted=counted, merge=False)
    model.cp.minimize(model.missing)
    return solve(model.cp, effort).value / 10  # counted in tenths


# everyone_hangs


def test_everyone_hangs_where_there_are_spots_enough(make, effort):
    assert status(make([], [1, 1], nodes="ab"), 2, effort) == "optimal"


def test_three_do_not_hang_on_two_spots(make, effort):
    assert status(make([], [1, 1, 1], nodes="ab"), 2, effort) == "infeasible"


def test_who_has_a_home_hangs_there_when_no_spot_is_left(make, effort):
    # Three items, two open spots: at least one stays.
    inst = make([], [1, 1, 1], nodes="abc", homes={0: "c"})
    assert solve_lexicographic(inst, 2, effort).spot_of[0] == "c"


# one_per_spot


def test_two_of_far_dates_need_two_spots(make, effort):
    assert status(make([], [1, 9], nodes="a"), 2, effort) == "infeasible"
    assert status(make([], [1, 9], nodes="ab"), 2, effort) == "optimal"


def test_a_home_is_open_to_nobody_else(make, effort):
    # Item 0 may leave its home h, but item 1 may not take it: there is one open spot for the two.
    inst = make([], [1, 1], nodes="ah", homes={0: "h"})
    found = solve_lexicographic(inst, 2, effort)
    assert found.spot_of == {0: "h", 1: "a"}


def test_a_full_rack_holds_one_on_each_spot(make, effort):
    model = HangModel(make([("a", "b")], [1, 9]), 2)
    answer = solve(model.cp, effort)
    assert sorted(model.read(answer).values()) == ["a", "b"]


# clips_fit: of an exclusive set one node is taken at a time


def test_clips_that_are_not_too_near_one_another_fit(make, effort):
    inst = replace(make([], [1, 1], nodes="abc"), exclusive=(("a", "b"), ("b", "c")))
    model = HangModel(inst, 2)
    assert sorted(model.read(solve(model.cp, effort)).values()) == ["a", "c"]


def test_two_clips_do_not_fit_in_the_width_of_one(make, effort):
    inst = replace(make([], [1, 9], nodes="ab"), exclusive=(("a", "b"),))
    assert status(inst, 2, effort) == "infeasible"


def test_two_whose_homes_are_too_near_may_stay_but_nobody_comes_beside_them(make, effort):
    # h and i are too near but taken already; j is too near to i, so item 2, the only one touched, takes k.
    inst = make([], [1, 1, 1], nodes="jk", homes={0: "h", 1: "i"})
    inst.graph.add_nodes_from("hi")
    found = solve_lexicographic(replace(inst, exclusive=(("h", "i"), ("i", "j"))), 2, effort)
    assert found.spot_of == {0: "h", 1: "i", 2: "k"}
    assert (found.level("touched").value, found.level("touched").proved) == (1, True)


@pytest.mark.parametrize(("since", "without"), [(6, 0), (4, 1)])
def test_a_clip_gone_before_the_next_comes_takes_none_of_its_width(make, effort, since, without):
    # One today, gone by day 5, on a or on b, which are too near for two: one to come on day 6 finds either
    # free, one on day 4 neither.
    inst = replace(make([], [1], nodes="ab"), exclusive=(("a", "b"),), vacated=(5.0,))
    inst = replace(inst, coming=(Coming(due=9.0, since=since, until=10.0, count=1),))
    assert unreserved(inst, 2, effort) == without


# neighbours_apart


def test_neighbours_apart_by_the_gap_or_more(make, effort):
    assert status(make([("a", "b")], [1, 3]), 2, effort) == "optimal"


def test_neighbours_closer_than_the_gap_are_refused(make, effort):
    assert status(make([("a", "b")], [1, 2.9]), 2, effort) == "infeasible"


def test_a_pinned_neighbour_keeps_its_clashing_dates_away(make, effort):
    # b holds date 1; date 2 clashes with it beside it on a, not two away on c.
    inst = make([("a", "b")], [1, 2], nodes="c", pinned={0: "b"})
    assert solve_lexicographic(inst, 2, effort).spot_of[1] == "c"


def test_runs_of_dates_reach_exactly_as_far_as_the_gap(make, effort):
    # Dates 1, 2, 3 on a triangle: gap 1 allows all, gap 2 parts 1 from 3 only.
    triangle = [("a", "b"), ("b", "c"), ("a", "c")]
    assert status(make(triangle, [1, 2, 3]), 1, effort) == "optimal"
    assert status(make(triangle, [1, 2, 3]), 2, effort) == "infeasible"


# clashes_counted


def test_no_clash_is_counted_where_none_is_needed(make, effort):
    found = solve_lexicographic(make([("a", "b")], [1, 3]), 2, effort)
    assert (found.level("clashes").value, found.level("clashes").proved) == (0, True)


def test_a_clash_that_cannot_be_avoided_is_counted_once(make, effort):
    found = solve_lexicographic(make([("a", "b")], [1, 2]), 2, effort)
    level = found.level("clashes")
    assert (level.value, level.bound, level.proved) == (1, 1, True)


def test_a_triangle_of_one_date_has_three_clashes(make, effort):
    # Three in one clique make 3 · 2 / 2 pairs.
    found = solve_lexicographic(make([("a", "b"), ("b", "c"), ("a", "c")], [1, 1, 1]), 2, effort)
    assert found.level("clashes").value == 3


@pytest.mark.parametrize(("many", "fewest"), [(2, 0), (3, 1), (4, 2), (5, 4), (6, 6), (7, 9), (8, 12)])
def test_a_crowd_in_two_cliques_of_four_has_as_many_pairs_as_it_must(make, effort, many, fewest):
    # Shared out evenly: 2 + 1 make 1 pair, 2 + 2 two, 3 + 2 make 3 + 1, 3 + 3, 4 + 3 make 6 + 3, 4 + 4.
    cliques = [*combinations("abcd", 2), *combinations("efgh", 2)]
    level = solve_lexicographic(make(cliques, [1] * many), 2, effort).level("clashes")
    assert (level.value, level.bound) == (fewest, fewest)


def test_in_a_crowd_of_two_dates_on_clips_that_need_room_all_pairs_are_counted(make, effort):
    # Of a row a to f, all neighbours, no two side by side may both be taken: three hang there, of four
    # pupae, and one stays at home, where all must leave. Three pairs, whichever they are.
    inst = replace(
        make(
            [*combinations("abcdef", 2)],
            [1, 1, 2, 2],
            nodes="hijk",
            homes=dict(enumerate("hijk")),
            barred=range(4),
        ),
        exclusive=tuple(pairwise("abcdef")),
    )
    found = solve_lexicographic(inst, 2, effort)
    assert [found.level(name).value for name in ("left", "clashes")] == [1, 3]
    assert found.level("clashes").proved


def test_of_clashes_as_few_those_of_least_penalty_are_taken(make, effort):
    # Path a - b - c - d all taken, dates 1, 1, 2, 3 at gap 9: 3 clashes whatever is done. Penalty 10 for one
    # day, 4 for a day apart, 1 for two. 1 2 1 3 has 4 + 4 + 1; 1 3 1 2 has 1 + 1 + 4 = 6, the least
    # (1 1 side by side cost 10 or more; 2 3 side by side leave 1 . . 1: 1 2 3 1 has 4 + 4 + 1 = 9).
    inst = make([("a", "b"), ("b", "c"), ("c", "d")], [1, 1, 2, 3])
    found = solve_lexicographic(inst, 9, effort, penalty=lambda days: {0: 10, 1: 4, 2: 1}.get(int(days), 0))
    level = found.level("trouble")
    assert (found.level("clashes").value, level.value, level.proved) == (3, 6, True)


# reserved_apart: where clashes are counted, none with those to come


def to_come(due):
    return (Coming(due=due, since=0.0, until=20.0, count=1),)


def test_beside_a_far_date_a_node_is_reserved(make, effort):
    inst = replace(make(["ab"], [1]), coming=to_come(3.0))
    assert unreserved(inst, 2, effort, counted=True) == 0


def test_beside_a_near_date_no_node_is_reserved(make, effort):
    inst = replace(make(["ab"], [1]), coming=to_come(2.9))
    assert unreserved(inst, 2, effort, counted=True) == 1


def test_a_clash_with_one_to_come_is_no_way_to_reserve_a_node_for_it(make, effort):
    # Path a - b - c, and d alone; two hang today and two are to come, all of one date. If b is left over, a
    # neighbour of it is taken or left over with it; if not, a or c is left over beside it. So one of two.
    inst = replace(make(["ab", "bc"], [1, 1], nodes="d"), coming=to_come(1.0) * 2)
    assert unreserved(inst, 2, effort, counted=True) == 1


# homes: fewest touched


def test_who_clashes_with_nobody_stays_at_home(make, effort):
    inst = make([("h", "i")], [1, 9], nodes="abhi", homes={0: "h", 1: "i"})
    found = solve_lexicographic(inst, 2, effort)
    assert found.spot_of == {0: "h", 1: "i"}
    assert (found.level("touched").value, found.level("touched").proved) == (0, True)


def test_of_three_that_clash_in_a_row_only_the_middle_one_is_touched(make, effort):
    inst = make([("h", "i"), ("i", "j")], [1, 1, 1], nodes="abc", homes={0: "h", 1: "i", 2: "j"})
    found = solve_lexicographic(inst, 2, effort)
    assert [i for i in range(3) if found.spot_of[i] in "abc"] == [1]
    assert (found.level("touched").value, found.level("touched").bound) == (1, 1)


def test_clashes_count_more_than_touches(make, effort):
    # Four of one date all beside one another at home: three must go, to three spots apart.
    homes = {0: "h", 1: "i", 2: "j", 3: "k"}
    pairs = [(a, b) for a in "hijk" for b in "hijk" if a < b]
    found = solve_lexicographic(make(pairs, [1] * 4, nodes="abc", homes=homes), 2, effort)
    assert (found.level("clashes").value, found.level("touched").value) == (0, 3)


def test_who_must_leave_leaves_though_nobody_clashes(make, effort):
    found = solve_lexicographic(make([], [1], nodes="ah", homes={0: "h"}, barred=[0]), 2, effort)
    assert found.spot_of == {0: "a"}
    assert (found.level("left").value, found.level("left").proved) == (0, True)


def test_who_must_leave_but_has_no_spot_is_counted_as_left(make, effort):
    inst = make([], [1, 1], nodes="ahi", homes={0: "h", 1: "i"}, barred=[0, 1])
    level = solve_lexicographic(inst, 2, effort).level("left")
    assert (level.value, level.bound, level.proved) == (1, 1, True)


def test_the_touched_bound_counts_those_without_a_home(make, effort):
    inst = make([], [1, 2], nodes="abh", homes={0: "h"})
    level = solve_lexicographic(inst, 2, effort).level("touched")
    assert (level.value, level.bound, level.proved) == (1, 1, True)


@pytest.mark.parametrize("counted", [False, True])
def test_hints_given_twice_do_not_add_up(make, counted):
    model = HangModel(make([("a", "b")], [1, 3]), 2, counted=counted)
    model.hint({0: "a", 1: "b"})
    model.hint({0: "b", 1: "a"})
    assert model.cp.validate() == ""


# whom any day may be due: a kind of its own, at risk with every kind


ANY_DAY = {"kinds": (0, 1), "risky": frozenset({(0, 1), (1, 0), (1, 1)}), "undated": frozenset({1})}


def test_who_may_be_due_on_any_day_hangs_beside_nobody(make, effort):
    assert status(replace(make(["ab"], [1, 1], nodes="abc"), **ANY_DAY), 2, effort) == "optimal"
    assert status(replace(make(["ab"], [1, 99], nodes="ab"), **ANY_DAY), 2, effort) == "infeasible"


def test_such_a_clash_is_counted_and_weighs_like_one_of_a_single_day(make, effort):
    inst = replace(make(["ab"], [1, 99], nodes="ab"), **ANY_DAY)
    found = solve_lexicographic(inst, 2, effort, penalty=lambda days: 10 - int(days))
    assert [(x.name, x.value, x.proved) for x in found.levels[:2]] == [
        ("clashes", 1, True),
        ("trouble", 10, True),
    ]
