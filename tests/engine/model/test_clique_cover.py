"""Cliques that cover the neighbour graph: large ones on racks, and few where neighbours abound."""

import math
from itertools import combinations

import networkx as nx
import pytest

from planner.engine.model.clique_cover import edge_clique_cover
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.within_budget import Budget


def board(columns, rows, reach, shift=0.0):
    """Pins one apart, every second row shifted; neighbours are closer than the reach."""
    pins = [(x + shift * (y % 2), y) for y in range(rows) for x in range(columns)]
    graph = nx.Graph()
    graph.add_nodes_from(pins)
    graph.add_edges_from((a, b) for a, b in combinations(pins, 2) if math.dist(a, b) < reach)
    return graph


def beside_all_but_one(pairs):
    return nx.complement(nx.from_edgelist((2 * k, 2 * k + 1) for k in range(pairs)))


def cover_of(graph):
    """The cover, after a look that each is a clique and that each edge is in one."""
    cover = edge_clique_cover(graph)
    inside = {frozenset(pair) for clique in cover for pair in combinations(clique, 2)}
    assert inside == {frozenset(edge) for edge in graph.edges}
    return cover


@pytest.mark.parametrize(
    "graph",
    [
        nx.empty_graph(3),
        nx.path_graph(9),
        board(7, 6, 1.5),
        board(7, 6, 4.1),
        board(7, 6, 3.1, 0.5),
        nx.gnp_random_graph(40, 0.8, seed=1),
        nx.turan_graph(30, 10),
    ],
)
def test_each_pair_of_neighbours_is_in_a_clique(graph):
    cover_of(graph)


@pytest.mark.parametrize(
    ("reach", "shift"), [(2.5, 0), (4.1, 0), (6.1, 0), (2.1, 0.5), (4.1, 0.5), (7.1, 0.5)]
)
def test_on_a_board_cliques_are_as_large_as_greed_makes_them(reach, shift):
    graph = nx.convert_node_labels_to_integers(board(12, 9, reach, shift))
    assert sum(1 for _ in nx.find_cliques(graph)) > 2 * len(graph) + 8  # so not all are listed
    expected, covered = [], set()
    for u, v in graph.edges:
        if (u, v) in covered:
            continue
        clique, common = [u, v], set(graph[u]) & set(graph[v])
        while common:
            clique.append(max(common, key=lambda w: (len(common & set(graph[w])), w)))
            common &= set(graph[clique[-1]])
        covered.update(combinations(sorted(clique), 2))
        expected.append(clique)
    assert cover_of(graph) == expected


@pytest.mark.parametrize(
    ("graph", "most"),
    # Of 20 parts of 3 at least 9 cliques are needed, one for each pair of nodes of two parts. Grown large
    # around each edge there would be 801, and of 40 pairs 821.
    [(nx.turan_graph(60, 20), 90), (nx.turan_graph(120, 40), 180), (beside_all_but_one(40), 90)],
)
def test_where_neighbours_abound_few_cliques_do(graph, most):
    assert len(cover_of(graph)) <= most


def allowed(graph, seconds):
    inst = Instance(graph, tuple(map(float, graph)), {}, tuple(graph))
    return Budget(inst, Effort(Clock(seconds))).allows_cover


def test_cliques_are_sought_only_where_there_is_time_for_them():
    # The only clique of 1,000 spots, all neighbours of one another, takes networkx some seconds.
    crowd = nx.complete_graph(1000)
    assert not allowed(crowd, 0.01)
    assert allowed(crowd, 100)
    assert allowed(nx.path_graph(1000), 0.01)
