"""A model is given up while it is made, where time or memory do not allow it."""

import networkx as nx
import pytest

from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.sized_model import SizedModel
from planner.engine.model.solver import Clock, Effort

HOURS = tuple(k / 7 for k in range(120))


def on_a_grid():
    """120 items, each of its own hour, on a 12 x 12 grid: 144 nodes, 120 classes."""
    graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(12, 12))
    return Instance(graph, HOURS, {}, tuple(graph))


def test_a_model_counts_booleans_and_literals():
    model = SizedModel(None)
    a, b = model.new_bool_var("a"), model.new_bool_var("b")
    model.add_at_most_one(a, b)
    model.add_bool_or([a, b])
    assert model.terms == 6  # two Booleans, and both literals in each of two constraints


def test_a_model_beyond_the_memory_is_not_made():
    # 17,280 Booleans, each three times a term, and the cliques: more than the 300,000 that are always made.
    with pytest.raises(TooLarge):
        HangModel(on_a_grid(), 2, effort=Effort(Clock(60), memory=1e6))
    assert len(HangModel(on_a_grid(), 2, effort=Effort(Clock(3600), memory=1e9)).x) == 144 * 120


def test_a_model_whose_making_is_interrupted_is_given_up():
    clock = Clock(3600)
    clock.interrupt()
    with pytest.raises(TooLarge):
        HangModel(on_a_grid(), 2, effort=Effort(clock))


def test_a_small_model_is_made_however_short_the_time():
    model = SizedModel(Effort(Clock(0)))
    model.add_bool_or([model.new_bool_var("a")])
    assert model.terms == 2


def test_a_model_of_few_nodes_for_each_is_made_where_one_of_all_nodes_would_be_too_large():
    # One node each: 120 Booleans of 17,280.
    effort = Effort(Clock(60), memory=1e6)
    few = HangModel(on_a_grid(), 2, wanted=lambda node, c: node == c, effort=effort)
    assert len(few.x) == 120
