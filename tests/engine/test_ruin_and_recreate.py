"""Local search by ruin and recreate: as good as every way there is on tiny racks."""

import itertools
import random

import networkx as nx
import numpy as np
import pytest

from planner.engine.model.instance import Instance
from planner.engine.model.pair_costs import PairCosts
from planner.engine.model.solver import Clock, Effort
from planner.engine.secondary.carrying import Carrying
from planner.engine.secondary.elbow_room import crowded_pairs
from planner.engine.secondary.ruin_and_recreate import ruin_and_recreate
from planner.engine.secondary.weights import weighted

NOTHING = Carrying(lambda item: 0, lambda source, node: 0, lambda item, node: 0)
GAP = 1


def rack(rng):
    """A line of up to seven nodes, neighbours within two of one another, and up to four items, one pinned."""
    nodes = range(rng.randint(4, 7))
    graph, close = nx.Graph(), nx.Graph()
    graph.add_nodes_from(nodes)
    close.add_nodes_from(nodes)
    graph.add_edges_from((a, b) for a in nodes for b in nodes if 0 < b - a <= 2)
    close.add_edges_from((a, a + 1) for a in nodes if a + 1 in nodes)
    dues = tuple(float(rng.randint(0, 4)) for _ in range(rng.randint(2, 4)))
    pinned = {0: rng.choice(nodes)}
    inst = Instance(graph, dues, pinned, tuple(n for n in nodes if n != pinned[0]))
    kinds = sorted({*dues})
    cost = np.array([[max(0, 5 - 2 * abs(round(a - b))) for b in kinds] for a in kinds])
    risk = PairCosts(tuple(map(kinds.index, dues)), lambda a, b: int(cost[a, b]))
    return inst, close, risk


def score(inst, close, risk, spot_of):
    """Clashes, risk and crowded pairs, in their order."""
    return (
        len(inst.clashes(spot_of, GAP)),
        risk.total(inst.graph, spot_of),
        crowded_pairs(inst, close, spot_of),
    )


@pytest.mark.parametrize("seed", range(30))
def test_on_a_tiny_rack_nothing_is_better_than_what_is_found(seed):
    rng = random.Random(seed)
    inst, close, risk = rack(rng)
    ways = [
        {**inst.pinned, **dict(zip(inst.free_items, nodes, strict=True))}
        for nodes in itertools.permutations(inst.open_nodes, len(inst.free_items))
    ]
    weights = weighted(inst, GAP, None, risk, close, NOTHING)
    found = ruin_and_recreate(inst, rng.choice(ways), weights.costs, 0, Effort(Clock(60)))
    assert score(inst, close, risk, found) == min(score(inst, close, risk, way) for way in ways)


def test_with_no_time_left_it_is_the_start():
    inst, close, risk = rack(random.Random(3))
    start = {**inst.pinned, **dict(zip(inst.free_items, inst.open_nodes, strict=False))}
    weights = weighted(inst, GAP, None, risk, close, NOTHING)
    assert ruin_and_recreate(inst, start, weights.costs, 0, Effort(Clock(60, lambda: True))) == start


def test_with_one_seed_it_is_always_the_same():
    inst, close, risk = rack(random.Random(4))
    start = {**inst.pinned, **dict(zip(inst.free_items, inst.open_nodes, strict=False))}
    weights = weighted(inst, GAP, None, risk, close, NOTHING)
    found = [ruin_and_recreate(inst, start, weights.costs, 0, Effort(Clock(60), seed=8)) for _ in range(2)]
    assert found[0] == found[1]


def test_clips_keep_their_width():
    # Three clips on six nodes, of which each two side by side exclude one another: 0, 2, 4 or 1, 3, 5, …
    nodes = range(6)
    graph, close = nx.Graph(), nx.Graph()
    graph.add_nodes_from(nodes)
    groups = tuple((a, a + 1) for a in range(5))
    inst = Instance(graph, (0.0, 0.0, 0.0), {}, tuple(nodes), exclusive=groups)
    risk = PairCosts((0, 0, 0), lambda a, b: 0)
    weights = weighted(inst, GAP, None, risk, close, NOTHING)
    found = ruin_and_recreate(inst, {0: 0, 1: 2, 2: 4}, weights.costs, 0, Effort(Clock(60)))
    at = sorted(found.values())
    assert all(b - a > 1 for a, b in itertools.pairwise(at))
