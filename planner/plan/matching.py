"""Who of one due goes to which of its spots: least carrying, then first come first hung."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Mapping

import networkx as nx

from planner.plan.instance import Node, SpotOf

Cost = Callable[[Hashable, Node], int]


def match(spot_of: SpotOf, moved: Mapping[int, tuple[Hashable, Hashable]], cost: Cost) -> SpotOf:
    """Exchange spots among moved items that are alike, so that least is carried.

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
    A transport problem for each kind, solved by network simplex: from each source as many units as it has
    items, to each node one.
    """
    result = dict(spot_of)
    kinds: defaultdict[Hashable, list[int]] = defaultdict(list)
    for item, (kind, _) in moved.items():
        kinds[kind].append(item)
    for items in kinds.values():
        nodes = [spot_of[i] for i in items]
        sources = Counter(moved[i][1] for i in items)
        if len(sources) == 1:
            continue
        flow: nx.DiGraph[tuple[str, Hashable]] = nx.DiGraph()
        for source, count in sources.items():
            flow.add_node(("from", source), demand=-count)
        for k, node in enumerate(nodes):
            flow.add_node(("to", k), demand=1)
            for source in sources:
                flow.add_edge(("from", source), ("to", k), weight=cost(source, node), capacity=1)
        _, carried = nx.network_simplex(flow)
        queue: defaultdict[Hashable, list[int]] = defaultdict(list)
        for i in reversed(items):
            queue[moved[i][1]].append(i)
        for k, node in enumerate(nodes):
            source = next(s for s in sources if carried["from", s][("to", k)])
            result[queue[source].pop()] = node
    return result
