"""Whether a gap is possible on a full rack: yes, no, and not known yet; both ways of asking."""

import networkx as nx
import pytest

from planner.engine.antibandwidth import full_rack
from planner.engine.antibandwidth.full_rack import ask_full
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.construct import construct


def full(graph):
    return Instance(graph, tuple(map(float, range(len(graph)))), {}, tuple(graph))


@pytest.fixture(params=[None, 1], ids=["side by side", "in turn"])
def ask(request):
    return lambda inst, days, seconds=30: ask_full(
        inst, days, construct(inst, days), Effort(Clock(seconds), 0, request.param), 0
    )


def test_yes(ask):
    # mesh of 5 x 5: ceil(5 * 4 / 2) = 10
    inst = full(nx.grid_2d_graph(5, 5))
    found, impossible = ask(inst, 10)
    assert inst.smallest_gap(found) >= 10
    assert not impossible


def test_no(ask):
    # ring of 12: floor(11 / 2) = 5, so 6 is impossible.
    found, impossible = ask(full(nx.cycle_graph(12)), 6)
    assert impossible
    assert set(found.values()) == set(range(12))


def test_not_known_in_time(ask):
    found, impossible = ask(full(nx.random_regular_graph(4, 80, seed=1)), 30, seconds=0.5)
    assert set(found.values()) == set(range(80))
    assert not impossible


def test_in_turn_the_same_is_found_every_time():
    inst = full(nx.random_regular_graph(3, 30, seed=2))
    first, again = (ask_full(inst, 11, construct(inst, 11), Effort(Clock(60), 3, 1), 0) for _ in range(2))
    assert first == again


def test_an_interruption_of_annealing_keeps_what_there_is(monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(full_rack, "anneal", interrupted)
    effort, inst = Effort(Clock(60), 0, 1), full(nx.cycle_graph(12))
    found, impossible = ask_full(inst, 5, construct(inst, 5), effort, 0)
    assert set(found.values()) == set(range(12))
    assert not impossible
    assert effort.clock.interrupted


def test_an_interruption_of_the_solver_ends_the_whole_search():
    stop = iter([False] * 6)
    effort = Effort(Clock(60, lambda: next(stop, True)))
    inst = full(nx.random_regular_graph(4, 80, seed=1))
    found, impossible = ask_full(inst, 38, construct(inst, 38), effort, 0)
    assert set(found.values()) == set(range(80))
    assert not impossible
    assert effort.clock.left == 0
