"""Along the rack: everybody once, neighbours soon after one another."""

import networkx as nx
import pytest

from planner.engine.model.traversal import walk


@pytest.mark.parametrize(
    ("graph", "most"),
    [
        (nx.path_graph(9), 1),  # from end to end
        (nx.cycle_graph(9), 2),  # both ways round at once
        (nx.grid_2d_graph(6, 3), 4),  # slant rows of up to 3; the best order has 3, row by row
        (nx.disjoint_union(nx.path_graph(4), nx.path_graph(5)), 1),
    ],
)
def test_neighbours_come_soon_after_one_another(graph, most):
    order = walk(graph, graph)
    assert sorted(order) == sorted(graph)
    place = {node: k for k, node in enumerate(order)}
    assert max(abs(place[u] - place[v]) for u, v in graph.edges) <= most


def test_only_the_nodes_asked_for_are_walked_and_without_neighbours_in_their_order():
    # Every second node of a path: none is a neighbour of another.
    assert walk(nx.path_graph(7), [4, 0, 2]) == [4, 0, 2]


def test_a_line_is_walked_from_an_end_though_it_is_listed_from_the_middle():
    line = nx.path_graph(7)
    assert walk(line, [3, 0, 6, 1, 5, 2, 4]) in ([0, 1, 2, 3, 4, 5, 6], [6, 5, 4, 3, 2, 1, 0])


def test_the_order_is_as_narrow_as_the_library_finds_it():
    def width(order):
        place = {node: k for k, node in enumerate(order)}
        return max(abs(place[u] - place[v]) for u, v in graph.edges)

    for seed in range(5):
        graph = nx.random_geometric_graph(60, 0.2, seed=seed)
        assert width(walk(graph, graph)) <= 1.5 * width(list(nx.utils.reverse_cuthill_mckee_ordering(graph)))
