"""Who may go home while a plan is improved: nobody whose home another has been given meanwhile."""

import itertools
import random
from dataclasses import replace

import networkx as nx
import pytest

from planner.engine.model.instance import Coming, Instance
from planner.engine.model.pair_costs import PairCosts
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.reservations import Reservations, first_fit, with_reservations
from planner.engine.secondary.carrying import Carrying
from planner.engine.secondary.ruin_and_recreate import ruin_and_recreate
from planner.engine.secondary.weights import weighted
from planner.planning.objectives.who_moves import exchangeable

GAP = 2
NOTHING = Carrying(lambda item: 0, lambda source, node: 0, lambda item, node: 0)


def rehung(rng, nodes=9, clip=1):
    """A line on which four hang that may be hung again, three newcomers, two to come, and where all are put.

    Two nodes nearer than ``clip`` exclude one another.
    """
    graph = nx.Graph()
    graph.add_nodes_from(range(nodes))
    graph.add_edges_from((a, a + 1) for a in range(nodes - 1))
    homes = dict(enumerate(range(0, 4 * clip, clip)))
    spots = rng.sample(range(0, nodes, clip), 7)
    inst = Instance(
        graph,
        tuple(float(rng.randint(0, 6)) for _ in range(7)),
        {},
        tuple(range(nodes)),
        homes,
        exclusive=tuple((a, a + 1) for a in range(nodes - 1)) if clip > 1 else (),
        vacated=tuple(float(rng.randint(3, 8)) for _ in range(7)),
        coming=(Coming(12.0, 6.0, 14.0, 1), Coming(15.0, 7.0, 17.0, 1)),
        price=dict.fromkeys(homes, 3),
    )
    return inst, dict(enumerate(spots))


def improved(inst, spot_of):
    """Where all hang after spots are reserved for those to come, and local search."""
    reserved = Reservations(spot_of, first_fit(inst, spot_of, GAP), ())
    rest = exchangeable(with_reservations(inst, reserved, GAP), spot_of, GAP)
    risk = PairCosts((0,) * len(inst.dues), lambda a, b: 0)
    weights = weighted(rest, GAP, lambda days: 5, risk, nx.Graph(), NOTHING)
    return reserved, ruin_and_recreate(rest, spot_of, weights.costs, 0, Effort(Clock(60)), 3.0)


def test_nobody_goes_home_where_another_hangs_now():
    graph = nx.path_graph(4)
    inst = Instance(graph, (0.0, 5.0), {}, (0, 1, 2, 3), {0: 0})
    assert inst.with_pinned({1: 0}).homes == {}
    assert inst.with_pinned({1: 2}).homes == {0: 0}


def test_nor_where_the_clip_of_another_is_in_the_way_now():
    inst = Instance(nx.path_graph(4), (0.0, 5.0), {}, (0, 1, 2, 3), {0: 0}, exclusive=((0, 1),))
    assert inst.with_pinned({1: 1}).homes == {}


def test_two_pinned_at_homes_too_near_let_one_another_be():
    inst = Instance(nx.path_graph(4), (0.0, 5.0), {}, (2, 3), {0: 0, 1: 1}, exclusive=((0, 1),))
    assert inst.with_pinned({1: 1}).homes == {0: 0}


def test_who_has_left_a_spot_that_is_reserved_now_does_not_come_back():
    inst = Instance(nx.path_graph(4), (0.0,), {}, (0, 1, 2, 3), {0: 0}, frozenset({0}))
    rest = with_reservations(
        replace(inst, coming=(Coming(9.0, 8.0, 10.0, 1),)), Reservations({0: 2}, ((0, 0),), ()), GAP
    )
    assert rest.homes == {}
    assert rest.barred == frozenset()


@pytest.mark.parametrize("seed", range(12))
def test_no_two_share_a_spot_however_a_plan_is_improved(seed):
    inst, spot_of = rehung(random.Random(seed))
    _, found = improved(inst, spot_of)
    assert len({*found.values()}) == len(found)


@pytest.mark.parametrize("seed", range(12))
def test_no_two_clips_overlap_however_a_plan_is_improved(seed):
    inst, spot_of = rehung(random.Random(seed), nodes=18, clip=2)
    _, found = improved(inst, spot_of)
    at = sorted(found.values())
    assert all(b - a > 1 for a, b in itertools.pairwise(at)), at
