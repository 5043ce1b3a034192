"""Matching of interchangeable items to the nodes given to them: transport problems of least cost."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Mapping, Sequence

import numpy as np
import numpy.typing as npt
from ortools.graph.python import min_cost_flow

from planner.engine.model.instance import Node, SpotOf

Cost = Callable[[Hashable, Node], int]


def match(spot_of: SpotOf, moved: Mapping[int, tuple[Hashable, Hashable]], cost: Cost) -> SpotOf:
    """The assignment with nodes exchanged among moved items that are alike, so that least is carried.

    Parameters
    ----------
    spot_of
        Item → node.
    moved
        Item → (what makes it interchangeable, such as its due; where it is carried from).
    cost
        Of carrying from a source to a node; whole numbers.

    Notes
    -----
    A transport problem for each kind, a flow of least cost: from each source as many units as it has items,
    to each node one.
    """
    result = dict(spot_of)
    kinds: defaultdict[Hashable, list[int]] = defaultdict(list)
    for item, (kind, _) in moved.items():
        kinds[kind].append(item)
    for items in kinds.values():
        nodes = [spot_of[i] for i in items]
        counts = Counter(moved[i][1] for i in items)
        if len(counts) == 1:
            continue
        sources = list(counts)
        costs = np.array([[cost(source, node) for node in nodes] for source in sources], dtype=np.int64)
        carried = _transported([counts[source] for source in sources], costs)
        queue: defaultdict[Hashable, list[int]] = defaultdict(list)
        for i in reversed(items):
            queue[moved[i][1]].append(i)
        for node, k in zip(nodes, carried, strict=True):
            result[queue[sources[k]].pop()] = node
    return result


def _transported(counts: Sequence[int], costs: npt.NDArray[np.int64]) -> list[int]:
    """Node → the source it gets its item from; ``costs``: a row for each source, a column for each node."""
    many, nodes = costs.shape
    flow = min_cost_flow.SimpleMinCostFlow()
    from_, to = np.repeat(np.arange(many), nodes), np.tile(np.arange(many, many + nodes), many)
    arcs = flow.add_arcs_with_capacity_and_unit_cost(from_, to, np.ones_like(from_), costs.ravel())
    flow.set_nodes_supplies(np.arange(many + nodes), np.array([*counts, *[-1] * nodes]))
    if flow.solve() != flow.OPTIMAL:
        raise AssertionError("as many are carried as there are spots for them: this can always be done")
    return flow.flows(arcs).reshape(many, nodes).argmax(axis=0).tolist()  # type: ignore[no-any-return]
