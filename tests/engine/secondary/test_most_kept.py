"""Nodes of a prior assignment are kept only where no level before gets worse, and no reservation is lost."""

import networkx as nx

from planner.engine.model.instance import Instance
from planner.engine.model.level import Level
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.lexicographic import Solution
from planner.engine.secondary.stability import most_kept

GAP = 2


def kept(inst, spot_of, prior):
    """Where all hang, and how many lose their node of the prior assignment at least."""
    values = {"clashes": 0, "touched": len(inst.free_items)}
    levels = tuple(Level(name=name, value=n, bound=n, proved=True) for name, n in values.items())
    solution = Solution(spot_of, levels, feasible=True)
    found, lost = most_kept(inst, solution, GAP, prior, None, Effort(Clock(20), workers=1))
    return found.spot_of, lost


def test_a_prior_node_is_kept_where_nothing_is_against_it():
    inst = Instance(nx.path_graph(4), (5.0,), {}, (0, 1, 2, 3))
    assert kept(inst, {0: 3}, {0: 1}) == ({0: 1}, 0)


def test_but_not_beside_a_node_reserved_for_one_of_the_same_day():
    beside = {1: ((5.0, 0),)}
    inst = Instance(nx.path_graph(4), (5.0,), {}, (0, 1, 2, 3), reserved_beside=beside, reserved_gap=GAP)
    assert kept(inst, {0: 3}, {0: 1}) == ({0: 3}, 1)


def test_nor_on_a_node_that_is_wanted_before_it_has_left():
    inst = Instance(
        nx.path_graph(4), (5.0,), {}, (0, 1, 2, 3), vacated=(6.0,), reserved_from={1: 4.0}
    )  # fmt: skip
    assert kept(inst, {0: 3}, {0: 1}) == ({0: 3}, 1)


def test_nor_where_the_clip_of_another_is_in_the_way():
    inst = Instance(nx.path_graph(4), (5.0, 9.0), {1: 0}, (1, 2, 3), exclusive=((0, 1),))
    assert kept(inst, {0: 3, 1: 0}, {0: 1})[0] == {0: 3, 1: 0}
