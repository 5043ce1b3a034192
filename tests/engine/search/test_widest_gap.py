"""The widest smallest gap: dues a millionth of a day apart, and how often is asked."""

from random import Random

import networkx as nx
import pytest

from planner import arrange
from planner.engine.search import widest_gap
from planner.engine.search.bounds import widest_below


def test_the_difference_a_millionth_below_a_gap_is_below_it():
    # The differences are 1, 2, 2.000001, 1.000001 and so on: below 2.000001 is 2.
    assert widest_below([0, 1, 2, 3.000001], 2.000001) == 2


def test_no_bound_is_a_difference_too_low():
    # A triangle holds 0, 2.0000004 and 4; a path hangs from it, 3.000003 beside 0 and 1.0000015 at its end.
    # 4 - 2.0000004 can be had. The next wider difference is a millionth more.
    graph = nx.Graph([(0, 1), (0, 3), (1, 3), (2, 4), (3, 4)])
    graph.add_node(5)
    a = arrange(graph, [3.000003, 2.0000004, 1.0000015, 0.0, 1.0000025, 4.0], seconds=20, workers=1)
    assert a.smallest_gap == pytest.approx(1.9999996)
    assert a.bound >= 1.9999996 - 1e-9


@pytest.mark.parametrize("base", [0, -1e9])
def test_dues_drawn_near_one_another_are_proved_within_the_rounding(base):
    # Along a path of three, the one in the middle has the other two as neighbours: three ways to choose it.
    rng = Random(3)
    for _ in range(30):
        dues = [base + rng.randint(0, 2) + rng.randint(0, 30) * 1e-7 for _ in range(3)]
        widest = max(min(abs(dues[m] - dues[i]) for i in range(3) if i != m) for m in range(3))
        a = arrange(nx.path_graph(3), dues, seconds=20, workers=1)
        assert a.proved
        assert a.smallest_gap == pytest.approx(widest, abs=2.3e-6)


@pytest.mark.parametrize(
    ("graph", "dues"),
    [
        (nx.path_graph(5), [0, 1.1e-6, 1, 2, 3]),
        (nx.complete_bipartite_graph(3, 3), [3.000003, 1.0000004, 3.0000004, 3e-06, -6e-07, 2.0000004]),
    ],
)
def test_a_gap_missed_by_a_hair_is_not_asked_for_again_and_again(graph, dues, monkeypatch):
    # Gaps and dues are rounded to a millionth of a day: the one asked for may be missed by more than that.
    asked = []
    ask = widest_gap.ask_full

    def counted(inst, days, *rest):
        asked.append(days)
        assert len(asked) < 10
        return ask(inst, days, *rest)

    monkeypatch.setattr(widest_gap, "ask_full", counted)
    assert arrange(graph, dues, seconds=600, workers=1).proved
    assert asked
