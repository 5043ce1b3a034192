"""Running a model: whatever ends the search also ends the solver's own thread."""

import threading

import networkx as nx
import pytest
from ortools.sat.python import cp_model

from planner.engine.antibandwidth.full_rack import ask_full
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort, solve


class GivenUp(BaseException):
    """As the command line raises at a second Ctrl-C."""


class GivesUp:
    """A question "stop?" that raises once, in the main thread, as soon as the solver has begun to search."""

    def __init__(self):
        self.searching = threading.Event()

    def log(self, line):
        if line.startswith("Starting search"):
            self.searching.set()

    def __call__(self):
        if self.searching.is_set() and threading.current_thread() is threading.main_thread():
            self.searching.clear()
            raise GivenUp
        return False


def endless():
    """A single machine with far more sequences than can be looked at: 200 jobs, none twice as long."""
    model = cp_model.CpModel()
    starts = [model.new_int_var(0, 10**6, f"job {k}") for k in range(200)]
    jobs = [model.new_fixed_size_interval_var(s, 997 + k * 7919 % 1000, f"{k}") for k, s in enumerate(starts)]
    model.add_no_overlap(jobs)
    model.minimize(sum((k * 37 % 11 - 5) * s for k, s in enumerate(starts)))
    return model


def test_giving_up_ends_the_solver_s_thread_as_well():
    before = set(threading.enumerate())
    stop = GivesUp()
    with pytest.raises(GivenUp):
        solve(endless(), Effort(Clock(60, stop), workers=1, log=stop.log))
    assert set(threading.enumerate()) <= before


def test_giving_up_on_a_full_rack_ends_the_annealing_beside_the_solver():
    # Neighbours are all within two steps: wide gaps are hard to find there, and to refute.
    graph = nx.power(nx.grid_2d_graph(7, 7), 2)
    inst = Instance(graph, tuple(map(float, range(49))), {}, tuple(graph))
    before = set(threading.enumerate())
    stop = GivesUp()
    clock = Clock(60, stop)
    with pytest.raises(GivenUp):
        ask_full(inst, 9, dict(enumerate(graph)), Effort(clock, log=stop.log), tries=9)
    assert set(threading.enumerate()) <= before
    assert clock.left > 0  # it was not the time that ended it
