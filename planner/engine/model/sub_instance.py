"""Instances made from another one: with fewer items, or without what a question does not need."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from planner.engine.model.instance import Instance
from planner.engine.model.neighbour_pairs import among


def without_barred_homes(inst: Instance) -> Instance:
    """The instance in which barred items have no home: nobody may be left."""
    homes = {i: node for i, node in inst.homes.items() if i not in inst.barred}
    nodes = {*inst.open_nodes, *inst.pinned.values(), *homes.values()}
    return replace(inst, graph=among(inst.graph, nodes), homes=homes, barred=frozenset())


def feasibility_question(inst: Instance) -> Instance:
    """The instance in which nobody may be left, and nobody is to come."""
    return replace(without_barred_homes(inst), vacated=(), coming=(), vacancy_chance={})


def without_pending_pairs(inst: Instance) -> Instance:
    """The instance in which nobody at home is a neighbour of a soft one: such a pair is pending, no clash."""
    soft = {node for i, node in inst.pinned.items() if i in inst.soft}
    edges = [(home, node) for home in inst.homes.values() for node in inst.graph[home] if node in soft]
    if not edges:
        return inst
    graph = inst.graph.copy()
    graph.remove_edges_from(edges)
    return replace(inst, graph=graph)


def sub_instance(inst: Instance, free: Collection[int], pinned: Collection[int]) -> Instance:
    """The instance of the items ``free`` and ``pinned`` alone, in ascending order, on the same nodes."""
    order = sorted({*free, *pinned})
    place = {item: k for k, item in enumerate(order)}
    return replace(
        inst,
        dues=tuple(inst.dues[i] for i in order),
        pinned={place[i]: inst.pinned[i] for i in pinned},
        homes={place[i]: inst.homes[i] for i in free if i in inst.homes},
        barred=frozenset(place[i] for i in free if i in inst.barred),
        kinds=tuple(inst.kinds[i] for i in order) if inst.kinds else (),
        undated=frozenset(place[i] for i in inst.undated if i in place),
        price={place[i]: inst.price[i] for i in free if i in inst.price},
        vacated=(),
        coming=(),
        vacancy_chance={},
    )
