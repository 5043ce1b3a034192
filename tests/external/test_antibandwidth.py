"""The widest smallest gap against published antibandwidths: n pupae due on n consecutive days on n spots."""

import math
from pathlib import Path

import networkx as nx
import pytest

from planner import arrange
from planner.engine.antibandwidth.orderings import ordered_start
from planner.engine.model.instance import Instance

DATA = Path(__file__).parent / "data" / "antibandwidth"


def read_graph(path):
    _, sizes, *edges = path.read_text().splitlines()
    graph = nx.Graph()
    graph.add_nodes_from(range(1, int(sizes.split()[0]) + 1))
    graph.add_edges_from(tuple(map(int, line.split()[:2])) for line in edges if line.strip())
    assert graph.number_of_edges() == int(sizes.split()[2])
    return graph


def proved_gap(graph):
    a = arrange(graph, range(len(graph)), seconds=120, workers=1)
    assert a.proved
    assert a.bound == a.smallest_gap
    at = {node: item for item, node in a.spot_of.items()}  # not the engine's own word for it
    assert min(abs(at[u] - at[v]) for u, v in graph.edges) == a.smallest_gap
    return a.smallest_gap


@pytest.mark.parametrize("n", [2, 3, 7, 12, 25])
def test_paths(n):
    # floor(n / 2): Leung, Vornberger, Witthoff, SIAM J. Comput. 13 (1984) 650-667; Miller, Pritikin,
    # Networks 19 (1989) 651-666
    assert proved_gap(nx.path_graph(n)) == n // 2


@pytest.mark.parametrize("n", [3, 4, 9, 16, 25])
def test_cycles(n):
    # floor((n - 1) / 2): the same
    assert proved_gap(nx.cycle_graph(n)) == (n - 1) // 2


@pytest.mark.parametrize(("m", "n"), [(2, 2), (4, 3), (5, 4), (6, 2), (5, 5)])
def test_meshes(m, n):
    # ceil(n (m - 1) / 2) for m >= n >= 2: Raspaud, Schröder, Sýkora, Török, Vrt'o, Discrete Math. 309 (2009)
    # 3541-3552
    assert proved_gap(nx.grid_2d_graph(m, n)) == math.ceil(n * (m - 1) / 2)


@pytest.mark.parametrize("depth", [1, 2, 3, 4])
def test_complete_binary_trees(depth):
    # (n - 1) / 2: Calamoneri, Massini, Török, Vrt'o, Discrete Math. 309 (2009) 6408-6414
    tree = nx.balanced_tree(2, depth)
    assert proved_gap(tree) == (len(tree) - 1) // 2


@pytest.mark.parametrize(("k", "depth"), [(4, 1), (4, 2), (6, 1)])
def test_complete_trees_with_an_even_number_of_branches(k, depth):
    # (n + 1 - k) / 2: the same (read: that there is an exact result for even k; from memory: the formula,
    # which for a star, depth 1, says 1, as it must)
    tree = nx.balanced_tree(k, depth)
    assert proved_gap(tree) == (len(tree) + 1 - k) // 2


@pytest.mark.parametrize("d", [2, 3, 4, 5, 6])
def test_hypercubes(d):
    # 2^(d-1) minus the sum of the middle binomial coefficients of 0 … d-2: Wang, Wu, Dumitrescu, Discrete
    # Appl. Math. 157 (2009) 1947-1952, from memory. Proved by us up to d = 3; beyond, reached.
    cube = nx.hypercube_graph(d)
    inst = Instance(cube, tuple(map(float, range(2**d))), {}, tuple(cube))
    widest = 2 ** (d - 1) - sum(math.comb(k, k // 2) for k in range(d - 1))
    assert inst.smallest_gap(ordered_start(inst)) == widest
    assert d > 3 or proved_gap(cube) == widest


@pytest.mark.parametrize(("a", "b"), [(3, 5), (30, 30), (1, 40)])
def test_complete_bipartite_graphs(a, b):
    # 1: own derivation. With 2, no two consecutive dates would be neighbours, so all would be on one side.
    assert proved_gap(nx.complete_bipartite_graph(a, b)) == 1


@pytest.mark.parametrize(("n", "k"), [(9, 2), (12, 3), (20, 4)])
def test_lines_where_everybody_within_k_spots_is_a_neighbour(n, k):
    # floor(n / (k + 1)): own derivation, no source.
    line = nx.Graph([(a, b) for a in range(n) for b in range(max(0, a - k), a)])
    assert proved_gap(line) == n // (k + 1)


# Those that take longest are in tests/bench/widest_graphs.py.
# Sinnl, Cent. Eur. J. Oper. Res. 29 (2021) 1057-1077; Fazekas et al., CPAIOR 2020: see the data's README.md
PUBLISHED = {
    "C-bcspwr01": 17,
    "D-bcsstk01": 9,
    "H-impcol_b": 8,
    "L-bcspwr03": 39,
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_graphs(name):
    assert proved_gap(read_graph(DATA / f"{name}.mtx.rnd")) == PUBLISHED[name]
