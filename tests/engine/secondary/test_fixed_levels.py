"""What was reached on the levels before is not given up for room."""

import networkx as nx

from planner.engine.model.instance import Coming, Instance
from planner.engine.model.level import Level
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.lexicographic import Solution
from planner.engine.search.reservations import reservation_level
from planner.engine.secondary.fixed_levels import fix_levels

GAP = 2


def test_nobody_goes_home_beside_a_soft_one_so_that_one_to_come_finds_room():
    # 0 has left node 1, for the soft one at node 0 is of its day. One to come could have node 3 instead.
    inst = Instance(
        nx.path_graph(4), (5.0, 5.0), {1: 0}, (3,), {0: 1}, soft=frozenset({1}),
        vacated=(7.0, 7.0), coming=(Coming(9.0, 6.0, 10.0, 1),),
    )  # fmt: skip
    levels = (
        Level(name="clashes", value=0, bound=0, proved=True),
        Level(name="touched", value=1, bound=1, proved=True),
    )
    solution = Solution({0: 3, 1: 0}, levels, feasible=True)
    found = reservation_level(
        inst,
        solution.spot_of,
        GAP,
        fix_levels(inst, solution, None),
        Effort(Clock(20), workers=1),
        counted=True,
    )
    assert found.spot_of == {0: 3, 1: 0}
    assert found.missing == 1


def test_one_to_come_may_follow_one_of_its_day_that_was_dark_early():
    # 0 has left node 0 with a chance of 9 in 10 when one due a day later comes: of the two to come 1.1 find
    # no node. As if both hung there at once, a clash was counted beside node 1, where nobody hangs.
    graph = nx.Graph([(0, 1)])
    graph.add_node(9)
    inst = Instance(
        graph, (5.0, 5.5), {0: 0}, (1,), {1: 9}, vacated=(-1.0, 7.0),
        coming=(Coming(5.9, 0.0, 7.0, 2),), vacancy_chance={(0, 0): 9},
    )  # fmt: skip
    levels = tuple(Level(name=name, value=0, bound=0, proved=True) for name in ("clashes", "touched"))
    solution = Solution({0: 0, 1: 9}, levels, feasible=True)
    restrict, effort = fix_levels(inst, solution, None), Effort(Clock(20), workers=1)
    found = reservation_level(inst, solution.spot_of, GAP, restrict, effort, counted=True)
    assert (found.levels[0].value, found.levels[0].bound) == (1.1, 1.1)
