"""A minimum feedback vertex set: the fewest nodes without which a directed graph has no cycle."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import networkx as nx

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.solver import Clock, Effort, solve_repeatably


def feedback_vertex_set(graph: nx.DiGraph[int], able: Sequence[int]) -> list[int] | None:
    """A smallest set of ``able`` without which the graph has no cycle; None: those do not suffice.

    Parameters
    ----------
    graph
        Strongly connected.
    able
        Nodes that may be taken out, the best first: of sets as small, one of the best is chosen. The answer
        keeps their order.

    Notes
    -----
    An implicit hitting set: a set that hits all cycles found so far is a lower bound; the cycles it leaves
    are added until none is left. Where that takes too long, one node of each cycle left, if not the fewest.
    """
    if not able:
        return None
    if graph.number_of_edges() == len(graph):  # one cycle: any node will do
        return list(able[:1])
    model = cp_model.CpModel()
    model.name = "fewest to be parked"
    parked = {item: model.new_bool_var(f"{item} is parked") for item in able}
    # One fewer is worth more than any choice of whom.
    model.minimize(sum((len(able) ** 2 + k) * parked[item] for k, item in enumerate(able)))
    effort, found = Effort(Clock(budget.PARKING_RINGS)), list[int]()
    while cycles := _cycles(graph, found):
        for cycle in cycles:
            model.add_bool_or([parked[item] for item in cycle if item in parked])
        answer = solve_repeatably(model, effort, budget.PARKING_FEWEST)
        if answer.solved:
            found = [item for item in able if answer.on(parked[item])]
        elif answer.status != "infeasible" and (able_too := [item for item in able if item in cycles[0]]):
            found += able_too[:1]
        else:
            return None
    return found


def _cycles(graph: nx.DiGraph[int], without: Collection[int]) -> list[list[int]]:
    """A shortest cycle through each node that lies on one, when some nodes are taken out."""
    rest = nx.DiGraph(graph.subgraph([item for item in graph if item not in without]))
    found: dict[frozenset[int], list[int]] = {}
    for group in nx.strongly_connected_components(rest):
        for item in sorted(group) if len(group) > 1 else ():
            ways = nx.single_source_shortest_path(rest.subgraph(group), item)
            cycle = min((ways[before] for before in rest.predecessors(item) if before in ways), key=len)
            found.setdefault(frozenset(cycle), cycle)
    return list(found.values())
