"""The fewest nodes that meet every cycle of a graph: by hand, and against trying every set."""

from itertools import combinations
from random import Random

import networkx as nx
import pytest

from planner.engine.search.feedback_vertex_set import feedback_vertex_set


def test_of_one_cycle_the_first_able_is_taken():
    assert feedback_vertex_set(nx.DiGraph([(0, 1), (1, 2), (2, 0)]), [2, 1]) == [2]


def test_the_node_that_two_cycles_share_is_enough():
    # 0 1 2 and 2 3 4 meet in 2 alone.
    graph = nx.DiGraph([(0, 1), (1, 2), (2, 0), (2, 3), (3, 4), (4, 2)])
    assert feedback_vertex_set(graph, [0, 1, 2, 3, 4]) == [2]


def test_where_the_shared_node_is_not_able_each_cycle_gives_its_best():
    graph = nx.DiGraph([(0, 1), (1, 2), (2, 0), (2, 3), (3, 4), (4, 2)])
    assert feedback_vertex_set(graph, [4, 1, 0, 3]) == [4, 1]


def test_a_cycle_of_which_nobody_is_able_cannot_be_broken():
    graph = nx.DiGraph([(0, 1), (1, 0), (1, 2), (2, 1)])
    assert feedback_vertex_set(graph, [0]) is None
    assert feedback_vertex_set(graph, []) is None


def brute_force(graph):
    """The least number of nodes without which there is no cycle, by trying every set."""
    for size in range(len(graph)):
        for some in combinations(graph, size):
            if nx.is_directed_acyclic_graph(graph.subgraph(set(graph) - set(some))):
                return size
    raise AssertionError


@pytest.mark.parametrize("seed", range(20))
def test_no_smaller_set_meets_every_cycle(seed):
    rng = Random(seed)
    order = rng.sample(range(7), 7)
    graph = nx.DiGraph(zip(order, [*order[1:], order[0]], strict=True))  # strongly connected by one cycle
    graph.add_edges_from(rng.sample([(a, b) for a in order for b in order if a != b], rng.randrange(1, 14)))
    found = feedback_vertex_set(graph, sorted(graph))
    assert nx.is_directed_acyclic_graph(graph.subgraph(set(graph) - set(found)))
    assert len(found) == brute_force(graph)
