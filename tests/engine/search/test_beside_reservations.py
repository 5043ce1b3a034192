"""Who would disturb a reservation by staying at home leaves it, also where not all pairs can be parted."""

import networkx as nx

from planner.engine.model.instance import Coming, Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.construct import construct
from planner.engine.search.lexicographic import solve_lexicographic
from planner.engine.search.reservations import first_fit
from planner.planning.objectives.who_moves import exchangeable

GAP = 2


def beside_a_reservation(**more):
    """Item 0 at node 2, beside a node reserved for one of its day; it could have node 4."""
    return Instance(
        nx.path_graph(5), (5.0,), {}, (4,), {0: 2}, reserved_beside={2: ((5.0, 0),)}, reserved_gap=GAP, **more
    )


def test_the_start_does_not_leave_it_there():
    assert construct(beside_a_reservation(), GAP) == {0: 4}


def test_it_leaves_although_another_pair_must_wait():
    # 1 at node 10 is beside the soft 2 of its day: a pending pair, so that no plan is free of pairs.
    graph = nx.path_graph(5)
    graph.add_edge(10, 11)
    inst = Instance(
        graph, (5.0, 5.0, 5.0), {2: 11}, (4,), {0: 2, 1: 10}, soft=frozenset({2}),
        reserved_beside={2: ((5.0, 0),)}, reserved_gap=GAP,
    )  # fmt: skip
    found = solve_lexicographic(inst, GAP, Effort(Clock(20), workers=1))
    assert found.spot_of == {0: 4, 1: 10, 2: 11}
    assert found.touched.bound == 1


def test_local_search_does_not_bring_it_back():
    inst = beside_a_reservation()
    assert exchangeable(inst, {0: 4}, GAP).homes == {}
    assert exchangeable(inst, {0: 2}, GAP).pinned == {0: 2}


def test_nobody_is_given_the_node_of_one_that_may_never_leave_it():
    # By `vacated` both are gone in time, if they emerge; 0 is long overdue and has hardly a chance to.
    graph = nx.Graph()
    graph.add_nodes_from((0, 1))
    inst = Instance(
        graph, (1.0, 1.0), {0: 0, 1: 1}, (), vacated=(2.0, 2.0),
        coming=(Coming(12.0, 3.0, 14.0, 2),), vacancy_chance={(1, 0): 9},
    )  # fmt: skip
    assert first_fit(inst, {0: 0, 1: 1}, GAP) == ((1, 0),)
