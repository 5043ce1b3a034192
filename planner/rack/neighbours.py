"""The neighbour graph: an edge where two adults drying their wings could touch."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable
from functools import lru_cache
from itertools import product

import networkx as nx

from planner.rack.spots import Spot
from planner.season.places.dividers import Divider

EPS = 1e-6  # cm: two spots exactly a wing reach apart are no neighbours


def are_neighbours(
    a: tuple[float, float, float], b: tuple[float, float, float], reach: float, drop: float
) -> bool:
    """Whether adults at two points could touch, or what drips from one could land on the other.

    That is when the points are closer than ``reach``, or closer than it horizontally and no more than
    ``drop`` apart in height.

    Parameters
    ----------
    a, b
        From the rack's left edge, before the wall, above the floor; cm, in one frame.
    reach
        Wing reach, cm. Two points exactly this far apart are no neighbours.
    drop
        Cm. Two points exactly this far apart in height can be neighbours.
    """
    sideways = math.hypot(a[0] - b[0], a[1] - b[1])
    if sideways >= reach - EPS:
        return False
    return abs(a[2] - b[2]) <= drop + EPS or math.dist(a, b) < reach - EPS


def neighbour_graph(
    spots: Iterable[Spot], reach: float, drop: float, dividers: Iterable[Divider] = ()
) -> nx.Graph[Spot]:
    """The graph whose nodes are ``spots`` and whose edges join neighbours (`are_neighbours`).

    Only spots in adjacent cells of a grid are compared, so the time is about linear in the number of spots.

    Parameters
    ----------
    spots
        Of any places. A spot of a lid that was never measured (``at`` None) neighbours every spot of its lid.
    reach, drop
        Cm; ``reach`` is positive.
    dividers
        Cards: each removes the one edge between the two spots that it stands between.

    Returns
    -------
    A frozen graph: of the same rack, asked for again, it is the same one.
    """
    found = tuple(spots)
    stands = tuple((spot.at, spot.frame) for spot in found)  # which two spots of one name may differ in
    return _graph(found, stands, reach, drop, tuple(dividers))


@lru_cache(maxsize=2)
def _graph(
    spots: tuple[Spot, ...], _stands: object, reach: float, drop: float, dividers: tuple[Divider, ...]
) -> nx.Graph[Spot]:
    graph: nx.Graph[Spot] = nx.Graph()
    cells: defaultdict[tuple[str, int, int, int], list[Spot]] = defaultdict(list)
    unmeasured: list[Spot] = []
    tall = max(reach, drop, 1.0)
    for spot in spots:
        graph.add_node(spot)
        if spot.at is None:
            unmeasured.append(spot)
            continue
        x, depth, up = spot.at
        i, j, k = math.floor(x / reach), math.floor(depth / reach), math.floor(up / tall)
        # A neighbour lies in this cell or one that touches it; those added later will see this one.
        for di, dj, dk in product((-1, 0, 1), repeat=3):
            for other in cells.get((spot.frame, i + di, j + dj, k + dk), ()):
                if other.at is not None and are_neighbours(spot.at, other.at, reach, drop):
                    graph.add_edge(spot, other)
        cells[spot.frame, i, j, k].append(spot)
    _join_unmeasured(graph, unmeasured)
    graph.remove_edges_from((Spot(*card.a), Spot(*card.b)) for card in dividers)
    nx.freeze(graph)
    return graph


def _join_unmeasured(graph: nx.Graph[Spot], unmeasured: Collection[Spot]) -> None:
    """Join each spot of a lid that was never measured to all others of its lid.

    Crowded lids have a hundred thousand such edges, which networkx takes seconds to add: whole lids are added
    at once, and all edges share one dict of attributes, as none has any.
    """
    adjacent = graph._adj  # type: ignore[attr-defined]  # of networkx, but not of its stubs
    none: dict[str, object] = {}
    crowd: defaultdict[str, dict[Spot, dict[str, object]]] = defaultdict(dict)
    measured: defaultdict[str, dict[Spot, dict[str, object]]] = defaultdict(dict)
    for spot in unmeasured:
        crowd[spot.place][spot] = none
    for spot in graph if crowd else ():
        if spot.at is not None and spot.place in crowd:
            measured[spot.place][spot] = none
            adjacent[spot].update(crowd[spot.place])
    for spot in unmeasured:
        adjacent[spot].update(measured[spot.place] | crowd[spot.place])
        del adjacent[spot][spot]
