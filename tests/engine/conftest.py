"""Small instances for the tests of the model."""

import networkx as nx
import pytest

from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort


@pytest.fixture
def effort():
    return Effort(Clock(20), workers=1)


@pytest.fixture
def make():
    """Instance from edges, dues, pins, homes; every node that is no home and not pinned is open."""

    def build(edges, dues, *, pinned=None, homes=None, barred=(), nodes=()):
        graph = nx.Graph(edges)
        graph.add_nodes_from(nodes)
        pinned, homes = pinned or {}, homes or {}
        shut = {*pinned.values(), *homes.values()}
        open_nodes = tuple(node for node in graph if node not in shut)
        return Instance(graph, tuple(map(float, dues)), pinned, open_nodes, homes, frozenset(barred))

    return build
