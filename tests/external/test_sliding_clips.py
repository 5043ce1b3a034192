"""Shortest lengths of sliding clips against closed forms and against every order there is.

Closed form for a wing reach w of at most two clip widths c: only clips next to one another matter, so n clips
take c (n - 1) + (w - c) (p - 1), where p is the fewest paths that cover the graph of compatible pupae. For
w = 2 c this is the theorem on lambda-numbers and path coverings of J. P. Georges, D. W. Mauro, M. A.
Whittlesey, "Relating path coverings to vertex labellings with a condition at distance two", Discrete
Mathematics 135 (1994) 103-111 (second-hand; checked here by brute force as well). Where all dates differ by
the gap or more, c = 1: max(n - 1, (M - 1) w + t - 1), with M the largest number of one date and t how many
dates have M: the bound of scheduling with cooling times (from memory).
"""

from collections import Counter
from itertools import pairwise, permutations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.engine.model.instance import Instance
from planner.engine.model.line_position import LinePosition
from planner.engine.model.solver import Clock, Effort
from planner.engine.secondary.used_length import shortest_level


def shortest(dates, clip, reach, gap):
    """Length from the first clip to the last, by the planner; all dates on one long line, whole cm."""
    n = len(dates)
    places = range(n * reach + 1)
    graph = nx.Graph((a, b) for a in places for b in range(a + 1, min(a + reach, places.stop)))
    graph.add_nodes_from(places)
    exclusive = tuple(tuple(range(a, min(a + clip, places.stop))) for a in places[:-1]) if clip > 1 else ()
    inst = Instance(graph, tuple(map(float, dates)), {}, tuple(places), exclusive=exclusive)
    positions = {x: LinePosition("yarn", float(x)) for x in places}
    start = {i: i * reach for i in range(n)}
    found, level = shortest_level(inst, start, gap, positions, Effort(Clock(500), workers=1))
    assert inst.is_clash_free(found, gap)
    assert level.proved
    assert level.value == max(found.values())
    return level.value


def every_order(dates, clip, reach, gap):
    """The same by trying all orders, each pushed to the left."""
    best = float("inf")
    for order in set(permutations(dates)):
        at = []
        for due in order:
            before = zip(order, at, strict=False)
            at.append(max((x + (reach if abs(due - d) < gap else clip) for d, x in before), default=0))
        best = min(best, at[-1] if at else 0)
    return best


def by_path_cover(dates, clip, reach, gap):
    clashes = min(sum(abs(a - b) < gap for a, b in pairwise(order)) for order in permutations(dates))
    return clip * (len(dates) - 1) + (reach - clip) * clashes  # paths less one


SMALL = st.lists(st.integers(1, 6), min_size=1, max_size=6)


@tries(40)
@given(SMALL, st.integers(1, 4), st.integers(0, 6), st.sampled_from([1, 2, 3]))
def test_every_order_of_few_clips(dates, clip, wider, gap):
    assert shortest(dates, clip, clip + wider, gap) == every_order(dates, clip, clip + wider, gap)


@tries(25)
@given(SMALL, st.integers(1, 4), st.data())
def test_a_reach_of_two_clips_or_less_is_a_path_cover(dates, clip, data):
    reach = data.draw(st.integers(clip, 2 * clip))
    assert shortest(dates, clip, reach, 2) == by_path_cover(dates, clip, reach, 2)


@pytest.mark.parametrize("counts", [(3, 3, 1), (4, 2, 2), (2, 2, 2, 2), (5, 1, 1), (1, 1, 1, 1, 1)])
@pytest.mark.parametrize("reach", [2, 3, 5])
def test_dates_that_go_with_one_another_take_the_length_of_the_commonest(counts, reach):
    dates = [10 * d for d, count in enumerate(counts) for _ in range(count)]
    most = max(counts)
    tied = Counter(counts)[most]
    assert shortest(dates, 1, reach, 2) == max(len(dates) - 1, (most - 1) * reach + tied - 1)


@pytest.mark.parametrize(("reach", "length"), [(3, 12), (4, 14), (5, 17), (6, 20), (8, 26)])
def test_values_worked_out_by_hand(reach, length):
    # Clip 10 cm, reach 15, 20, 25, 30, 40, in units of 5 cm: 60, 70, 85, 100, 130 cm.
    assert shortest([1, 1, 2, 2, 3, 3], 2, reach, 2) == length
