"""Annealing on full racks small enough to know the answer, and what it must never do."""

import networkx as nx
import pytest

from planner.engine.antibandwidth.annealing import anneal
from planner.engine.model import budget
from planner.engine.model.instance import Instance


def full(graph, dues=None, pinned=None):
    pinned = pinned or {}
    dues = range(len(graph)) if dues is None else dues
    taken = set(pinned.values())
    return Instance(graph, tuple(map(float, dues)), pinned, tuple(v for v in graph if v not in taken))


def in_order(inst):
    """Pinned items on their nodes, the others on the open nodes as they come."""
    return {**dict(zip(inst.free_items, inst.open_nodes, strict=True)), **inst.pinned}


@pytest.mark.parametrize(
    ("graph", "gap"),
    [
        (nx.path_graph(20), 10),  # floor(n / 2)
        (nx.cycle_graph(21), 10),  # floor((n - 1) / 2)
        (nx.balanced_tree(2, 4), 15),  # (n - 1) / 2, n = 31
        (nx.grid_2d_graph(6, 6), 15),  # ceil(n (m - 1) / 2), m = n = 6
    ],
)
def test_it_reaches_known_widest_gaps(graph, gap):
    inst = full(graph)
    found = anneal(inst, gap, in_order(inst), seed=1, proposals=400_000)
    assert sorted(found) == list(range(len(graph)))
    assert set(found.values()) == set(graph)
    assert inst.smallest_gap(found) == gap


def test_its_aim_rises_to_the_widest_gap():
    # complete binary tree of 31: (n - 1) / 2 = 15
    inst = full(nx.balanced_tree(2, 4))
    found = anneal(inst, 1, in_order(inst), seed=1, proposals=400_000, most=15)
    assert inst.smallest_gap(found) == 15


def test_its_aim_rises_no_further_than_it_is_told():
    # A path of four keeps 2; asked for 1 from 0 2 1 3, which has it, nothing is exchanged.
    inst = full(nx.path_graph(4))
    start = {0: 0, 2: 1, 1: 2, 3: 3}
    assert anneal(inst, 1, start, seed=0, proposals=10**9, most=1) == start


def test_what_was_reached_is_kept_where_a_higher_aim_is_not():
    # ring of 12: floor(11 / 2) = 5
    inst = full(nx.cycle_graph(12))
    found = anneal(inst, 4, in_order(inst), seed=0, proposals=50_000, most=11)
    assert inst.smallest_gap(found) == 5


def test_one_seed_gives_one_answer():
    inst = full(nx.grid_2d_graph(5, 5))
    first, again = (anneal(inst, 11, in_order(inst), seed=7, proposals=5000) for _ in range(2))
    assert first == again


def test_pinned_items_stay_and_count_as_neighbours():
    # A path of four with 0 pinned at its second node: 0 1 2 3 -> 2 0 3 1 has gap 2, and no other order has.
    inst = full(nx.path_graph(4), pinned={0: 1})
    found = anneal(inst, 2, in_order(inst), seed=0, proposals=20_000)
    assert found[0] == 1
    assert inst.smallest_gap(found) == 2


def test_two_pinned_neighbours_are_no_reason_to_go_on():
    # 0 and 1 are pinned side by side, which nothing can change; 2 and 3 already hang far from both.
    inst = full(nx.Graph([("a", "b"), ("c", "a"), ("d", "b")]), [0, 1, 8, 9], {0: "a", 1: "b"})
    start = {0: "a", 1: "b", 2: "c", 3: "d"}
    assert anneal(inst, 8, start, seed=0, proposals=10**9) == start


def test_dues_need_not_be_whole_or_evenly_spread():
    # path of four, dues 0, 0.5, 10, 10.25: 10 0 10.25 0.5 has gaps of 10, 10.25 and 9.75; early and late
    # must alternate, and 0.5 beside 10 would be 9.5.
    inst = full(nx.path_graph(4), [0, 0.5, 10, 10.25])
    assert inst.smallest_gap(anneal(inst, 9.75, in_order(inst), seed=0, proposals=20_000)) == 9.75


def test_an_impossible_gap_ends_with_the_proposals_and_with_every_item_hung():
    inst = full(nx.complete_graph(5))
    found = anneal(inst, 2, in_order(inst), seed=0, proposals=3000)
    assert sorted(found.values()) == [0, 1, 2, 3, 4]


def test_it_stops_when_told_to():
    inst = full(nx.complete_graph(5))
    asked = []
    anneal(inst, 2, in_order(inst), 0, 10**9, lambda: asked.append(1) or len(asked) == 3)
    assert len(asked) == 3


def test_a_rack_too_large_for_its_table_is_left_as_it_is():
    inst = full(nx.path_graph(budget.ANNEALING_MOST + 1))
    start = in_order(inst)
    assert anneal(inst, 2, start, 0, 1000) is start
