"""``arrange``: the engine for any neighbour graph and any dates, usable without a season."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import networkx as nx

from planner.engine.model.instance import SAME, Instance, SpotOf
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.construct import construct
from planner.engine.search.lexicographic import solve_lexicographic
from planner.engine.search.widest_gap import widen

FARTHEST = 1e12  # days; the solver counts millionths of them in whole numbers
SEEDS = 2**31


@dataclass(frozen=True)
class Arrangement:
    """Who hangs where, and what was proved.

    Attributes
    ----------
    spot_of
        Item index → node.
    smallest_gap
        Days between the closest dues of two neighbours; infinite when nobody has a neighbour.
    clashes
        Neighbouring item pairs closer than ``gap``; empty without one.
    bound
        Without ``gap``: no arrangement has a wider smallest gap than this. With it: none has fewer clashes.
    proved
        Whether the bound is reached, so that nothing better exists.
    """

    spot_of: dict[int, Hashable]
    smallest_gap: float
    clashes: tuple[tuple[int, int], ...]
    bound: float
    proved: bool


def arrange(
    graph: nx.Graph[Any],
    dues: Iterable[float],
    *,
    gap: float | None = None,
    pinned: Mapping[int, Hashable] | None = None,
    seconds: float = 60,
    seed: int = 0,
    workers: int | None = None,
) -> Arrangement:
    """Put items with dues on the nodes of a graph, so that neighbours are due far apart.

    Parameters
    ----------
    graph
        Undirected; an edge joins two spots that are neighbours. Self-loops are ignored, and so is how often
        two are joined.
    dues
        Days, integers or floats, one per item, in any order, repeats allowed; at most one per node.
    gap
        None: the smallest gap between neighbours is made as wide as possible. Else days: as few pairs of
        neighbours as possible are due closer than this.
    pinned
        Items (by index) that have their node already.
    seconds
        Time limit; the best found by then is returned, marked as not proved. Ctrl-C does the same at once.
    seed, workers
        Of the solver. One worker gives the same answer every time, if it ends before the time limit. None:
        one worker first, then all cores for what is hard.

    Returns
    -------
    Arrangement

    Raises
    ------
    ValueError
        More items than nodes, a due or gap that is not finite, a due beyond ``FARTHEST``, a negative gap, an
        unknown item or node in ``pinned``, two items pinned to one node, a seed too large, a directed graph.

    Notes
    -----
    With n items due on n consecutive days and n nodes the widest smallest gap is the antibandwidth (dual
    bandwidth, separation number) of the graph [1]_.

    References
    ----------
    .. [1] J. Y.-T. Leung, O. Vornberger, J. D. Witthoff, "On some variants of the bandwidth minimization
       problem", SIAM J. Comput. 13 (1984) 650-667.

    Examples
    --------
    >>> arrange(nx.path_graph(6), dues=range(6)).smallest_gap
    3
    """
    items = tuple(dues)
    if gap is not None and not 0 <= gap < math.inf:
        raise ValueError(f"gap={gap}: a number of days, 0 or more, is needed")
    if not -SEEDS <= seed < SEEDS:
        raise ValueError(f"seed={seed}: a whole number of at most 31 bits is needed")
    inst = _instance(graph, items, dict(pinned or {}))
    if not items:
        return Arrangement({}, math.inf, (), math.inf if gap is None else 0, True)
    effort = Effort(Clock(seconds), seed, workers)
    # The engine leaves out pairs of two pinned items, for nothing can be decided there; here they count.
    fixed = Instance(inst.graph, inst.dues, {}, ())
    if gap is None:
        wide = widen(inst, construct(inst, 1), effort)
        smallest = min(wide.gap, fixed.smallest_gap(dict(inst.pinned)))
        bound = min(wide.bound, fixed.smallest_gap(dict(inst.pinned)))
        return _result(fixed, wide.spot_of, (), bound, smallest >= bound - SAME)
    solution = solve_lexicographic(inst, gap, effort)
    level = solution.level("clashes")
    clashes = tuple(sorted((min(p), max(p)) for p in fixed.clashes(solution.spot_of, gap)))
    given = len(fixed.clashes(dict(inst.pinned), gap))
    return _result(fixed, solution.spot_of, clashes, given + int(level.bound or 0), level.proved)


def _result(
    fixed: Instance, spot_of: SpotOf, clashes: tuple[tuple[int, int], ...], bound: float, proved: bool
) -> Arrangement:
    whole = all(float(due).is_integer() for due in fixed.dues)

    def days(value: float) -> float:
        return int(value) if whole and math.isfinite(value) else value

    ordered = {i: spot_of[i] for i in range(len(fixed.dues))}
    return Arrangement(ordered, days(fixed.smallest_gap(spot_of)), clashes, days(bound), proved)


def _instance(graph: nx.Graph[Any], dues: tuple[float, ...], pinned: dict[int, Hashable]) -> Instance:
    if graph.is_directed():
        raise ValueError("the neighbour graph must be undirected: neighbours are mutual")
    if len(dues) > graph.number_of_nodes():
        raise ValueError(f"{len(dues)} items do not fit on {graph.number_of_nodes()} nodes: one per node")
    for i, due in enumerate(dues):
        if not math.isfinite(due):
            raise ValueError(f"dues[{i}]={due}: a finite number of days is needed")
        if abs(due) > FARTHEST:
            raise ValueError(f"dues[{i}]={due}: at most {FARTHEST:g} days either way are possible")
    for item, node in pinned.items():
        if item not in range(len(dues)):
            raise ValueError(f"pinned item {item!r}: items are 0 to {len(dues) - 1}")
        if node not in graph:
            raise ValueError(f"pinned node {node!r} is not in the graph")
    if len(set(pinned.values())) < len(pinned):
        raise ValueError("two items are pinned to one node")
    simple: nx.Graph[Any] = nx.Graph(graph.edges())  # called: else a multigraph gives the keys as well
    simple.add_nodes_from(graph)
    simple.remove_edges_from(list(nx.selfloop_edges(simple)))
    taken = set(pinned.values())
    open_nodes = tuple(node for node in graph if node not in taken)
    return Instance(simple, tuple(map(float, dues)), {int(i): node for i, node in pinned.items()}, open_nodes)
