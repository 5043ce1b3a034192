"""Graphs of the kinds of the published ones: power grids, meshes, stencils, frames, finite elements.

The values of the generated ones are known by no formula: the best are from the longest runs, see
`tests/bench/widest_graphs.py`.
"""

from __future__ import annotations

import random
from collections.abc import Callable

import networkx as nx
import numpy as np
from scipy.spatial import Delaunay


def power_grid(n: int, shortcuts: int, seed: int) -> nx.Graph:
    """A shortest tree on random points, and the shortest of the other lines."""
    points = np.random.default_rng(seed).random((n, 2))
    far = np.linalg.norm(points[:, None] - points[None, :], axis=2)
    full = nx.Graph()
    full.add_weighted_edges_from((u, v, far[u, v]) for u in range(n) for v in range(u))
    graph = nx.Graph(nx.minimum_spanning_tree(full).edges)
    others = sorted((far[u, v], u, v) for u in range(n) for v in range(u) if not graph.has_edge(u, v))
    graph.add_edges_from((u, v) for _, u, v in random.Random(seed).sample(others[: 3 * n], shortcuts))
    return graph


def mesh(rows: int, columns: int, shortcuts: int, seed: int) -> nx.Graph:
    """A mesh with a few edges between any two of its nodes."""
    graph, rng = nx.grid_2d_graph(rows, columns), random.Random(seed)
    nodes = list(graph)
    for _ in range(shortcuts):
        graph.add_edge(*rng.sample(nodes, 2))
    return graph


def finite_elements(n: int, holes: int, seed: int) -> nx.Graph:
    """A triangulation of random points, with round holes."""
    rng = np.random.default_rng(seed)
    points, centres = rng.random((3 * n, 2)), rng.random((holes, 2))
    outside = [p for p in points if all(np.linalg.norm(p - c) > 0.15 for c in centres)][:n]
    graph = nx.Graph()
    for a, b, c in Delaunay(np.array(outside)).simplices.tolist():
        graph.add_edges_from(((a, b), (b, c), (c, a)))
    return graph


def frame(length: int, width: int, freedoms: int) -> nx.Graph:
    """A frame with crossed struts, of which every joint moves in so many ways."""
    joints = nx.grid_2d_graph(length, width)
    joints.add_edges_from(
        ((r, c), (r + 1, c + d))
        for r in range(length - 1)
        for c in range(width)
        for d in (-1, 1)
        if 0 <= c + d < width
    )
    return nx.strong_product(joints, nx.complete_graph(freedoms))


FAMILY: dict[str, Callable[[], nx.Graph]] = {
    "power grid 49": lambda: power_grid(49, 11, 1),
    "power grid 120": lambda: power_grid(120, 60, 2),
    "power grid 490": lambda: power_grid(490, 100, 3),
    "power grid 660": lambda: power_grid(660, 245, 4),
    "mesh 9 × 9": lambda: mesh(9, 9, 12, 5),
    "mesh 20 × 15": lambda: mesh(20, 15, 20, 6),
    "stencil 8 × 8": lambda: frame(8, 8, 1),
    "stencil 5 × 5 × 5": lambda: nx.grid_graph((5, 5, 5)),
    "stencil 9 × 9 × 8": lambda: nx.grid_graph((9, 9, 8)),
    "frame 20 × 2": lambda: frame(20, 2, 2),
    "frame 35 × 4": lambda: frame(35, 4, 3),
    "elements 85": lambda: finite_elements(85, 0, 7),
    "elements 234": lambda: finite_elements(234, 2, 8),
    "elements 590": lambda: finite_elements(590, 4, 9),
    "random 57": lambda: nx.gnm_random_graph(57, 127, 10),
    "random 425": lambda: nx.gnm_random_graph(425, 1267, 11),
    "regular 100": lambda: nx.random_regular_graph(4, 100, 12),
    "small world 200": lambda: nx.watts_strogatz_graph(200, 6, 0.1, 13),
}
