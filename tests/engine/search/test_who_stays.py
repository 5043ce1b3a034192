"""Who may stay at home, and the starts and bounds that follow."""

import math

import networkx as nx

from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.construct import construct
from planner.engine.search.lexicographic import solve_lexicographic
from planner.engine.search.who_stays import most_staying

EFFORT = Effort(Clock(math.inf), workers=1)  # not from when this is read: a busy machine takes longer


def star_of_homes():
    """Four on a lid, the first within reach of the three others, all of one day; five spots far apart."""
    graph = nx.star_graph(3)  # 0 in the middle
    graph.add_nodes_from("abcde")
    return Instance(graph, (1.0, 1.0, 1.0, 1.0), {}, tuple("abcde"), homes={i: i for i in range(4)})


def test_the_most_who_can_stay_are_those_round_the_one_in_the_middle():
    who = most_staying(star_of_homes(), 2, EFFORT)
    assert (who.items, who.least_handling, who.proved) == ({1, 2, 3}, 1, True)


def test_nobody_stays_beside_a_pinned_one_that_clashes_or_on_a_lid_to_be_cleared():
    graph = nx.path_graph(4)  # 0 is pinned; 1 beside it, 2 barred, 3 beside nobody of its day but 2
    graph.add_nodes_from("abc")
    inst = Instance(graph, (1.0,) * 4, {0: 0}, tuple("abc"), homes={1: 1, 2: 2, 3: 3}, barred=frozenset({2}))
    who = most_staying(inst, 2, EFFORT)
    assert (who.items, who.least_handling) == ({3}, 2)


def test_where_some_are_dear_to_move_it_is_they_who_stay():
    graph = nx.path_graph(2)
    graph.add_nodes_from("ab")
    inst = Instance(graph, (1.0, 1.0), {}, tuple("ab"), homes={0: 0, 1: 1}, price={1: 3})
    who = most_staying(inst, 2, EFFORT)
    assert (who.items, who.least_handling) == ({1}, 1)


def test_without_time_nothing_is_said_of_who_stays():
    who = most_staying(star_of_homes(), 2, Effort(Clock(0), workers=1))
    assert (who.items, who.least_handling, who.proved) == (set(), 0, False)


def test_where_all_others_find_a_spot_fewest_are_moved_without_the_model_of_the_rack():
    told = []
    found = solve_lexicographic(star_of_homes(), 2, Effort(Clock(60), workers=1, progress=told.append))
    touched = found.level("touched")
    assert (touched.value, touched.bound, touched.proved) == (1, 1, True)
    assert told == []  # the model is announced


def test_where_they_do_not_the_model_is_asked():
    # All spots are beside the pinned one, due half a day before the middle one: the three round it leave.
    graph = nx.star_graph(3)
    graph.add_edges_from([("a", "pin"), ("b", "pin"), ("c", "pin")])
    dues = (1.5, 2.5, 2.5, 2.5, 1.0)
    inst = Instance(graph, dues, {4: "pin"}, tuple("abc"), homes={i: i for i in range(4)})
    assert most_staying(inst, 1.2, EFFORT).least_handling == 1
    told = []
    found = solve_lexicographic(inst, 1.2, Effort(Clock(60), workers=1, progress=told.append))
    touched = found.level("touched")
    assert told == ["looking for a plan without clashes"]
    assert (touched.value, touched.bound, touched.proved) == (3, 3, True)


def test_a_home_that_others_may_have_is_not_given_away_before_its_owner_has_left():
    # Item 1 clashes on "a", where it hangs, and on "b": it stays. Others may have "a" only once it has left.
    graph = nx.Graph([("a", "p1"), ("b", "p1"), ("b", "p2")])
    graph.add_node("lid")
    inst = Instance(graph, (9.0, 1.0, 1.0, 9.0), {2: "p1", 3: "p2"}, ("a", "b"),
                    homes={0: "lid", 1: "a"}, barred=frozenset({0}))  # fmt: skip
    assert construct(inst, 2) == {0: "b", 1: "a", 2: "p1", 3: "p2"}
