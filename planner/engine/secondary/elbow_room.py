"""Elbow room as a secondary objective: fewest pairs hung too near to one another for hands with tweezers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import networkx as nx

from planner.engine.model.clique_cover import edge_clique_cover
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.neighbour_pairs import ends_of


def crowded_pairs(inst: Instance, close: nx.Graph[Any], spot_of: SpotOf) -> int:
    """How many pairs hang on nodes joined in ``close``; those of two pinned items are no decision."""
    return len(ends_of(close).pairs(spot_of, inst.pinned))


def elbow_level(inst: Instance, close: nx.Graph[Any], spot_of: SpotOf, bound: int) -> Level:
    """The level ``elbow_room``, of which ``bound`` is proved."""
    value = crowded_pairs(inst, close, spot_of)
    return Level(name="elbow_room", value=value, bound=bound, proved=value == bound)


def with_elbow_room(inst: Instance, close: nx.Graph[Any]) -> Instance:
    """The instance in which no item that may move hangs on a node joined to that of another in ``close``."""
    pinned = [node for node in inst.pinned.values() if node in close]
    beside = {other for node in pinned for other in close.adj[node]}
    rest = inst.with_open([node for node in inst.open_nodes if node not in beside])
    among: nx.Graph[Any] = nx.Graph()
    known = {*rest.open_nodes}
    for node in rest.open_nodes:
        among.add_edges_from((node, other) for other in close.adj[node] if other in known)
    cliques = (tuple(clique) for clique in edge_clique_cover(among)) if among else ()
    return replace(rest, exclusive=(*rest.exclusive, *cliques))
