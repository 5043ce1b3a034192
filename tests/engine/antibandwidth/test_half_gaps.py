"""Gaps proved impossible by halves: never one that can be had, and ones that no formula forbids."""

import random
from itertools import permutations

import networkx as nx
import pytest

from planner.engine.antibandwidth.half_gaps import in_halves, is_impossible
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort


def full(graph, dues, pinned):
    taken = set(pinned.values())
    return Instance(graph, tuple(map(float, dues)), pinned, tuple(v for v in graph if v not in taken))


def impossible(inst, gap, seconds=30):
    return is_impossible(inst, gap, Effort(Clock(seconds), 0, 1), work=1.0)


def widest(inst):
    """By every way to hang all; pairs of two pinned ones are not asked about."""
    nodes = list(inst.graph)
    ways = (dict(enumerate(way)) for way in permutations(nodes))
    return max(inst.smallest_gap(way) for way in ways if all(way[i] == v for i, v in inst.pinned.items()))


def test_dues_are_counted_in_halves_of_the_gap():
    # 5 days: halves of 2.5 from the first due, so 0 to 2, 3 and 4, 5 to 7 … are one each
    inst = full(nx.path_graph(8), range(10, 18), {})
    assert in_halves(inst, 5).dues == (0, 0, 0, 1, 1, 2, 2, 2)


@pytest.mark.parametrize("seed", range(60))
def test_no_gap_is_called_impossible_that_can_be_had(seed):
    rng = random.Random(seed)
    n = rng.randint(2, 6)
    graph = nx.gnp_random_graph(n, rng.uniform(0.3, 0.9), seed=seed)
    graph.add_edge(0, 1)
    dues = range(n) if seed % 2 else sorted(rng.sample(range(20), n))
    pinned = {i: node for i, node in enumerate(rng.sample(list(graph), n)) if rng.random() < 0.2}
    inst = full(graph, dues, pinned)
    gaps = {abs(a - b) for a in inst.dues for b in inst.dues if a != b}
    assert not any(impossible(inst, gap) for gap in gaps if gap <= widest(inst))


def test_a_mesh_is_too_wide_in_every_direction():
    # 7 x 7: ceil(7 * 6 / 2) = 21. No more than 25 spots are pairwise no neighbours, and the mesh has two
    # colours, so that neither stability nor cliques forbid 24.
    assert impossible(full(nx.grid_2d_graph(7, 7), range(49), {}), 24)


def test_without_time_nothing_is_proved():
    assert not impossible(full(nx.cycle_graph(12), range(12), {}), 6, seconds=0)
