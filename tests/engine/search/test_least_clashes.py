"""What is proved of the clashes where there is no time to count them."""

import math

import networkx as nx
import pytest

from planner.engine.model.instance import Instance
from planner.engine.model.solver import Answer, Clock, Effort
from planner.engine.search import lexicographic

EFFORT = Effort(Clock(math.inf), workers=1)
UNKNOWN = Answer("unknown", None, None, lambda _: 0)


@pytest.fixture
def counting_in_vain(monkeypatch):
    """Whether a plan without clashes exists is answered; nothing is, where clashes are counted."""
    solve = lexicographic.solve
    monkeypatch.setattr(
        lexicographic,
        "solve",
        lambda model, effort, *seconds: UNKNOWN if not seconds else solve(model, effort, *seconds),
    )


def of_one_day(spots):
    """Three of one day on a lid to be cleared, and spots 3, 4, 5 …"""
    graph = nx.disjoint_union(nx.complete_graph(3), spots)
    homes = {i: i for i in range(3)}
    return Instance(graph, (1.0,) * 3, {}, tuple(range(3, len(graph))), homes, frozenset(homes))


def test_where_all_leave_their_lid_and_not_all_can_without_a_clash_one_clashes(counting_in_vain):
    clashes = lexicographic.solve_lexicographic(of_one_day(nx.complete_graph(3)), 2, EFFORT).level("clashes")
    assert (clashes.value, clashes.bound) == (3, 1)


def test_where_some_are_left_on_the_lid_it_is_not_proved_that_any_clash(counting_in_vain):
    # Only two find a spot: the third stays, and three might stay as well.
    found = lexicographic.solve_lexicographic(of_one_day(nx.complete_graph(2)), 2, EFFORT)
    assert found.level("left").value == 1
    assert found.level("clashes").bound == 0


def test_who_are_hung_for_one_level_do_not_end_what_was_reached_in_the_next(monkeypatch):
    # Along four spots 3 - 4 - 5 - 6 three clash once, as on 3, 4 and 6; on 3, 4 and 5 twice. Nobody need be
    # left by either, and so either is an answer to "fewest left".
    inst = of_one_day(nx.path_graph(4))
    answers = iter([Answer("infeasible", None, None, lambda _: 0), Answer("optimal", 0, 0, lambda _: 0)])
    monkeypatch.setattr(lexicographic, "solve", lambda *_: next(answers, UNKNOWN))
    monkeypatch.setattr(lexicographic.HangModel, "read", lambda *_: {0: 3, 1: 4, 2: 5})
    assert lexicographic.solve_lexicographic(inst, 2, EFFORT).level("clashes").value == 1
