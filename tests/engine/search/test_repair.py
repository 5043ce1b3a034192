"""Starts with clashes, repaired by exchanges."""

import math
import random

import networkx as nx
import pytest

from planner import arrange
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.construct import construct
from planner.engine.search.repair import repair

EFFORT = Effort(Clock(math.inf), seed=1, workers=1)  # not from when this is read: a busy machine takes longer


def instance(graph, dues, pinned=None, homes=None):
    pinned, homes = pinned or {}, homes or {}
    shut = {*pinned.values(), *homes.values()}
    nodes = tuple(node for node in graph if node not in shut)
    return Instance(graph, tuple(map(float, dues)), pinned, nodes, homes=homes)


def board(side):
    """A board of staggered pins: up to six neighbours."""
    graph = nx.grid_2d_graph(side, side)
    graph.add_edges_from(((r, c), (r + 1, c - 1)) for r in range(side - 1) for c in range(1, side))
    return graph


def test_two_that_clash_change_places_with_others():
    # 1 1 5 5 along a path clash twice; 1 5 1 5 does not.
    inst = instance(nx.path_graph(4), [1, 1, 5, 5])
    repaired = repair(inst, 2, {0: 0, 1: 1, 2: 2, 3: 3}, EFFORT)
    assert inst.clashes(repaired, 2) == []
    assert sorted(repaired.values()) == [0, 1, 2, 3]


def test_one_of_two_that_clash_goes_to_an_empty_spot():
    inst = instance(nx.path_graph(3), [1, 1])
    assert sorted(repair(inst, 2, {0: 0, 1: 1}, EFFORT).values()) == [0, 2]


def test_who_is_pinned_or_stays_at_home_does_not_change():
    # 0 is pinned, 1 is at home; the start has 2, due with both, between them. Only the far end is free of it.
    inst = instance(nx.path_graph(5), [1, 1, 1, 9], pinned={0: 0}, homes={1: 2})
    repaired = repair(inst, 2, {0: 0, 1: 2, 2: 1, 3: 4}, EFFORT)
    assert repaired == {0: 0, 1: 2, 2: 4, 3: 1}


def test_a_start_without_clashes_is_left_as_it_is():
    inst = instance(nx.path_graph(2), [1, 5])
    start = {0: 0, 1: 1}
    assert repair(inst, 2, start, EFFORT) is start


def test_what_cannot_be_repaired_is_made_no_worse():
    # A triangle of one date always has three clashes.
    inst = instance(nx.complete_graph(3), [1, 1, 1])
    repaired = repair(inst, 2, {0: 0, 1: 1, 2: 2}, EFFORT)
    assert len(inst.clashes(repaired, 2)) == 3


def test_a_tight_board_is_repaired_and_the_same_way_each_time():
    rng = random.Random(0)
    graph = board(16)
    inst = instance(graph, [rng.randrange(7) for _ in range(243)])
    start = construct(inst, 2)
    assert inst.clashes(start, 2)
    repaired = repair(inst, 2, start, EFFORT)
    assert inst.clashes(repaired, 2) == []
    assert sorted(repaired) == list(range(243))
    assert len(set(repaired.values())) == 243
    assert repair(inst, 2, start, EFFORT) == repaired


def test_a_clock_that_has_run_out_leaves_the_start():
    inst = instance(nx.path_graph(4), [1, 1, 5, 5])
    start = {0: 0, 1: 1, 2: 2, 3: 3}
    assert repair(inst, 2, start, Effort(Clock(0))) == start


@pytest.mark.parametrize("spare", [0, 40])
def test_a_large_tight_rack_needs_no_model(spare, monkeypatch):
    # 1,600 spots and 7 dates. That the solver is not asked is the point.
    monkeypatch.setattr("planner.engine.search.lexicographic.HangModel", None)
    rng = random.Random(2)
    graph = board(40)
    dues = [rng.choice((1, 2, 4, 6, 8, 10, 12)) for _ in range(1600 - spare)]
    inst = instance(graph, dues)
    assert inst.clashes(construct(inst, 2), 2)
    a = arrange(graph, dues, gap=2, workers=1)
    assert (a.clashes, a.bound, a.proved) == ((), 0, True)


def test_where_neighbours_abound_the_clock_is_looked_at_more_often():
    # 200 of two days side by side: 80,000 proposals, in rounds of 5,000 on a rack; with 199 neighbours
    # each, in rounds of 500,000 / 199.
    asked = []
    inst = instance(nx.complete_graph(200), [k % 2 for k in range(200)])
    clock = Clock(math.inf, lambda: bool(asked.append(0)))
    repair(inst, 1, dict(enumerate(range(200))), Effort(clock, workers=1))
    assert len(asked) > 30
