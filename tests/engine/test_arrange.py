"""`arrange` on graphs small enough to work out by hand."""

import math

import networkx as nx
import pytest

from planner import arrange


def solve(graph, dues, **options):
    return arrange(graph, dues, seconds=20, workers=1, **options)


def test_widest_gap_on_a_path_of_three_puts_the_first_due_in_the_middle():
    # dues 0, 1, 2 on a - b - c: with 0 in the middle the gaps are 1 and 2; with 1 there, 1 and 1.
    a = solve(nx.path_graph(3), [0, 1, 2])
    assert (a.smallest_gap, a.bound, a.proved) == (1, 1, True)
    assert sorted(a.spot_of) == [0, 1, 2]
    assert sorted(a.spot_of.values()) == [0, 1, 2]


def test_widest_gap_with_a_spare_node_leaves_it_between_the_two():
    # Two items on a path of three: at the ends they have no neighbour at all.
    a = solve(nx.path_graph(3), [5, 5])
    assert (a.smallest_gap, a.bound, a.proved) == (math.inf, math.inf, True)


def test_widest_gap_of_equal_dues_on_a_full_edge_is_nothing():
    assert solve(nx.path_graph(2), [4, 4]).smallest_gap == 0


def test_widest_gap_counts_pairs_that_were_both_pinned():
    # 0 and 1 are pinned side by side (gap 1); the third, due at 9, goes to the last node, beside 1 (gap 8).
    a = solve(nx.path_graph(3), [0, 1, 9], pinned={0: 0, 1: 1})
    assert (a.smallest_gap, a.bound, a.proved) == (1, 1, True)


def test_dues_that_are_not_whole_days_give_the_exact_difference():
    a = solve(nx.path_graph(2), [0.25, 1.5])
    assert a.smallest_gap == pytest.approx(1.25, abs=1e-6)


def test_no_clash_where_dates_can_alternate():
    # path of four, dates 1 1 5 5, gap 2: 1 5 1 5.
    a = solve(nx.path_graph(4), [1, 1, 5, 5], gap=2)
    assert (a.clashes, a.bound, a.proved) == ((), 0, True)
    assert a.smallest_gap == 4


def test_fewest_clashes_when_all_are_due_together():
    # A triangle full of one date: all three pairs clash.
    a = solve(nx.complete_graph(3), [1, 1, 1], gap=2)
    assert (a.clashes, a.bound, a.proved) == (((0, 1), (0, 2), (1, 2)), 3, True)


def test_fewest_clashes_is_one_when_one_cannot_be_avoided():
    # path of three, dates 1 1 1 on three nodes: both edges clash; with 1 1 9: 9 in the middle, none.
    assert len(solve(nx.path_graph(3), [1, 1, 1], gap=2).clashes) == 2
    assert solve(nx.path_graph(3), [1, 1, 9], gap=2).clashes == ()
    # path of four, dates 1 1 1 9: of three equal ones on four nodes of a path two must touch: 1 9 1 1.
    a = solve(nx.path_graph(4), [1, 1, 1, 9], gap=2)
    assert (len(a.clashes), a.bound, a.proved) == (1, 1, True)


def test_a_gap_reached_exactly_is_no_clash():
    assert solve(nx.path_graph(2), [0, 2], gap=2).clashes == ()
    assert solve(nx.path_graph(2), [0, 1.99], gap=2).clashes == ((0, 1),)


def test_pinned_items_stay_and_their_clash_is_listed():
    a = solve(nx.path_graph(4), [1, 1, 5, 9], gap=2, pinned={0: 1, 1: 2})
    assert (a.spot_of[0], a.spot_of[1]) == (1, 2)
    assert (a.clashes, a.bound, a.proved) == (((0, 1),), 1, True)


def test_a_pin_that_forces_a_clash():
    # 3 nodes of a path, due 1 pinned in the middle, the other two due 2: both beside it.
    a = solve(nx.path_graph(3), [1, 2, 2], gap=2, pinned={0: 1})
    assert (a.clashes, a.proved) == (((0, 1), (0, 2)), True)


def test_no_items_at_all():
    a = solve(nx.path_graph(3), [])
    assert (a.spot_of, a.smallest_gap, a.proved) == ({}, math.inf, True)


def test_self_loops_mean_nothing():
    graph = nx.Graph([("a", "a"), ("a", "b")])
    assert solve(graph, [0, 3]).smallest_gap == 3


def test_to_be_joined_twice_is_to_be_joined():
    graph = nx.MultiGraph([("a", "b"), ("a", "b"), ("b", "c"), ("c", "c")])
    assert solve(graph, range(3)) == solve(nx.Graph(graph.edges()), range(3))


def test_nothing_is_beside_anything_on_a_graph_without_edges():
    a = solve(nx.empty_graph(3), [2, 2, 2])
    assert (a.smallest_gap, a.bound, a.proved) == (math.inf, math.inf, True)
    assert solve(nx.empty_graph(3), [2, 2, 2], gap=5).clashes == ()
    assert solve(nx.Graph([("only", "only")]), [7]).smallest_gap == math.inf


def test_parts_that_hang_apart_share_the_dates_in_the_best_way():
    # A path of 4 and a cycle of 5, dates 0 to 8. At most 4 of them are pairwise no neighbours (2 and 2), so
    # five dates in a row hold two neighbours: no gap is wider than 4, and 4 is found.
    a = solve(nx.disjoint_union(nx.path_graph(4), nx.cycle_graph(5)), range(9))
    assert (a.smallest_gap, a.bound, a.proved) == (4, 4, True)


def test_two_sides_that_are_all_beside_one_another_part_the_dates_at_their_widest_step():
    # Dates 0 1 2 on the side of three, 7 8 on the other: 2 and 7 are 5 apart, and no step is wider.
    graph = nx.complete_bipartite_graph(3, 2)
    a = solve(graph, [0, 7, 2, 8, 1])
    assert (a.smallest_gap, a.bound, a.proved) == (5, 5, True)


def test_items_may_be_named_by_any_whole_number():
    a = solve(nx.path_graph(3), [1, 5, 9], gap=2, pinned={True: 0})
    assert a.spot_of[1] == 0


def test_nodes_of_any_hashable_kind():
    graph = nx.Graph([("tub", 3), (3, (1, 2)), ((1, 2), frozenset())])
    assert solve(graph, range(4)).smallest_gap == 2  # a path of four: floor(4 / 2)


def test_one_worker_and_a_seed_give_the_same_answer_each_time():
    graph = nx.grid_2d_graph(4, 4)
    first = solve(graph, [k % 5 for k in range(16)], gap=2, seed=3)
    assert solve(graph, [k % 5 for k in range(16)], gap=2, seed=3) == first


def test_a_large_rack_with_spare_spots_needs_no_search():
    # 20 lines of 50 marks, neighbours within two marks, 14 dates, every spot taken.
    graph = nx.Graph()
    for line in range(20):
        nx.add_path(graph, [(line, k) for k in range(50)])
        graph.add_edges_from(((line, k), (line, k + 2)) for k in range(48))
    a = solve(graph, [k % 14 for k in range(1000)], gap=2)
    assert (a.clashes, a.proved) == ((), True)


@pytest.mark.parametrize(
    ("graph", "dues", "options", "message"),
    [
        (nx.path_graph(2), [1, 2, 3], {}, "3 items do not fit on 2 nodes: one per node"),
        (nx.path_graph(2), [1, math.nan], {}, "dues[1]=nan: a finite number of days is needed"),
        (nx.path_graph(2), [1, 1e300], {}, "dues[1]=1e+300: at most 1e+09 days either way are possible"),
        (
            nx.path_graph(2),
            [1],
            {"seed": 2**40},
            "seed=1099511627776: a whole number of at most 31 bits is needed",
        ),
        (nx.path_graph(2), [1], {"gap": -1}, "gap=-1: a number of days, 0 or more, is needed"),
        (nx.path_graph(2), [1], {"gap": math.inf}, "gap=inf: a number of days, 0 or more, is needed"),
        (nx.path_graph(2), [1], {"pinned": {1: 0}}, "pinned item 1: items are 0 to 0"),
        (nx.path_graph(2), [1], {"pinned": {0: "x"}}, "pinned node 'x' is not in the graph"),
        (nx.path_graph(2), [1, 2], {"pinned": {0: 0, 1: 0}}, "two items are pinned to one node"),
        (nx.DiGraph([(0, 1)]), [1], {}, "the neighbour graph must be undirected: neighbours are mutual"),
    ],
)
def test_what_makes_no_sense_is_refused(graph, dues, options, message):
    with pytest.raises(ValueError, match="^" + __import__("re").escape(message) + "$"):
        arrange(graph, dues, **options)
