"""Who is whose neighbour."""

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.rack.neighbours import are_neighbours, neighbour_graph
from planner.rack.spots import Spot


def spot(tag, *at, frame=""):
    return Spot("p", tag, 0, 0, at or None, frame)


def edges(*spots, reach=10, drop=20):
    return {frozenset((a.tag, b.tag)) for a, b in neighbour_graph(spots, reach, drop).edges}


def test_closer_than_wing_reach_are_neighbours_exactly_so_far_are_not():
    assert edges(spot("a", 0, 0, 100), spot("b", 9.99, 0, 100)) == {frozenset("ab")}
    assert edges(spot("a", 0, 0, 100), spot("b", 10, 0, 100)) == set()
    # 2.5 marks of 4.1 cm and the like must not depend on the last bit: 3 * 4.1 / 1.23 = 10.
    assert edges(spot("a", 0.1 + 0.2, 0, 100), spot("b", 10.3, 0, 100)) == set()


def test_one_under_the_other_within_the_drop_are_neighbours():
    assert edges(spot("a", 0, 0, 100), spot("b", 3, 0, 80)) == {frozenset("ab")}
    assert edges(spot("a", 0, 0, 100), spot("b", 3, 0, 79.9)) == set()
    assert edges(spot("a", 0, 0, 100), spot("b", 10, 0, 80)) == set()


def test_a_reach_longer_than_the_drop_counts_in_all_directions():
    # 3-4-5: 6 sideways and 8 up is 10 apart, 6 and 7 is 9.2.
    assert edges(spot("a", 0, 0, 100), spot("b", 6, 0, 107), drop=0) == {frozenset("ab")}
    assert edges(spot("a", 0, 0, 100), spot("b", 6, 0, 108), drop=0) == set()


def test_depth_counts_as_sideways():
    assert edges(spot("a", 0, 2, 100), spot("b", 0, 9, 90)) == {frozenset("ab")}
    assert edges(spot("a", 0, 2, 100), spot("b", 0, 12, 90)) == set()


def test_places_whose_stand_is_not_known_are_far_from_all_others():
    assert edges(spot("a", 0, 0, 100), spot("b", 0, 0, 100, frame="p2")) == set()


def test_an_unmeasured_pupa_neighbours_everybody_on_its_lid():
    lid = [Spot("tub", t, 1, 1, at, "tub") for t, at in (("a", (0, 0, 0)), ("b", (39, 0, 0)), ("?c", None))]
    other = Spot("tub-2", "d", 1, 1, (0, 0, 0), "tub-2")
    assert edges(*lid, other) == {frozenset(("a", "?c")), frozenset(("b", "?c"))}


points = st.tuples(*[st.integers(0, 60)] * 3)


@tries(50)
@given(st.lists(points, max_size=25), st.sampled_from([1, 4, 10, 25]), st.sampled_from([0, 5, 20, 60]))
def test_the_graph_is_that_of_all_pairs(at, reach, drop):
    spots = [Spot("p", str(k), 0, 0, p, "") for k, p in enumerate(at)]
    naive = nx.Graph()
    naive.add_nodes_from(spots)
    naive.add_edges_from(
        (a, b) for a in spots for b in spots if a != b and are_neighbours(a.at, b.at, reach, drop)
    )
    assert nx.utils.graphs_equal(neighbour_graph(spots, reach, drop), naive)
