"""Widest gaps found by following an order of the spots, without any search."""

import math
from itertools import chain

import networkx as nx
import pytest

from planner.engine.antibandwidth.orderings import ordered_start
from planner.engine.model.instance import Instance


def instance(graph, dues=None):
    dues = range(len(graph)) if dues is None else dues
    return Instance(graph, tuple(map(float, dues)), {}, tuple(graph))


def ordered_gap(graph, dues=None):
    inst = instance(graph, dues)
    spot_of = ordered_start(inst)
    assert sorted(spot_of) == list(range(len(inst.dues)))
    assert set(spot_of.values()) == set(graph)
    return inst.smallest_gap(spot_of)


@pytest.mark.parametrize("n", [2, 9, 30, 61])
def test_on_a_path_every_second_spot_comes_first(n):
    assert ordered_gap(nx.path_graph(n)) == n // 2


@pytest.mark.parametrize("n", [3, 8, 45, 60])
def test_on_a_ring_too_even_where_its_length_is_odd(n):
    assert ordered_gap(nx.cycle_graph(n)) == (n - 1) // 2


@pytest.mark.parametrize(("m", "n"), [(7, 7), (10, 6), (20, 3)])
def test_on_a_mesh_the_two_colours_come_one_after_the_other(m, n):
    assert ordered_gap(nx.grid_2d_graph(m, n)) == math.ceil(n * (m - 1) / 2)


def test_on_a_brush_bristles_and_spine_change_over():
    # A spine of 6 with 9 bristles each, 60 spots. The two colours have 30 each, so no gap is over 30; and
    # a spine spot with two spine spots beside it has 11 neighbours. 29 is what an order finds.
    brush = nx.path_graph(6)
    brush.add_edges_from(chain.from_iterable(((s, (s, b)) for b in range(9)) for s in range(6)))
    assert ordered_gap(brush) == 29


def test_parts_that_hang_apart_are_walked_one_after_the_other():
    # Two paths of 4: of each colour 4 spots, so no gap is over 4. The second path is always walked from its
    # first spot, b0 b1 b2 b3: dates of b0, b2 and b1, b3 are i, i + 1 and i + 4, i + 5, and b1 - b2 is 3.
    assert ordered_gap(nx.disjoint_union(nx.path_graph(4), nx.path_graph(4))) == 3


def test_dates_count_not_their_number():
    # A path of four, dates 0, 1, 10, 11. Two early ones side by side are 1 apart; 10, 0, 11, 1 along the path
    # are 10 apart, and no more can be, as 1 and 10 have at least one neighbour each.
    assert ordered_gap(nx.path_graph(4), [11, 0, 10, 1]) == 10


def test_a_rack_of_one_spot_and_one_without_neighbours():
    assert ordered_start(instance(nx.empty_graph(1))) == {0: 0}
    assert ordered_gap(nx.empty_graph(3)) == math.inf


def test_one_order_is_tried_when_the_time_is_over_and_no_more():
    # The two colours of a mesh, one after the other, are its first order: see above.
    asked = []
    inst = instance(nx.grid_2d_graph(7, 7))
    spot_of = ordered_start(inst, lambda: not asked.append(0))
    assert inst.smallest_gap(spot_of) == 21
    assert asked == [0]
