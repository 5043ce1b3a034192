"""Counting proves that all cannot be hung only where that is so, and proves what is plain."""

from dataclasses import replace
from itertools import combinations, pairwise
from random import Random

import networkx as nx
import pytest

from planner.engine.explain.counting import parted, too_many
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort, solve

ROW = [*combinations("abc", 2), *combinations("def", 2), *combinations("ghi", 2)]  # three cliques of three


@pytest.mark.parametrize(("dues", "proved"), [
    ([1] * 3, False),
    ([1] * 4, True),  # one to each clique
    ([1, 1, 2, 2], True),  # a day apart is too near as well
    ([1, 1, 1, 4, 4, 4], False),  # two to each clique, of two dates
    ([1, 1, 1, 4, 4, 4, 4], True),
    ([1, 2, 3] * 2 + [4], True),  # of dates 1 to 4 two fit beside one another at most: 1 and 3, 2 and 4
    ([1, 3, 5, 7] * 2 + [9], False),  # nine, of dates that may hang side by side
    ([1, 3, 5, 7] * 2 + [9, 11], True),  # ten
])  # fmt: skip
def test_no_more_go_into_the_cliques_than_are_apart_in_date(make, dues, proved):
    assert too_many(make(ROW, [1] * 9), 2)
    inst = make(ROW, [1])
    assert too_many(replace(inst, dues=tuple(map(float, dues))), 2) == proved


def test_clips_take_room(make):
    # Of a to f, all neighbours, three clips find room side by side: a, c and e.
    inst = replace(make([*combinations("abcdef", 2)], [1]), exclusive=tuple(pairwise("abcdef")))
    assert not too_many(replace(inst, dues=(1.0, 4.0, 7.0)), 2)
    assert too_many(replace(inst, dues=(1.0, 4.0, 7.0, 10.0)), 2)


def test_who_hangs_keeps_those_of_its_date_from_the_spots_beside_it(make):
    inst = make(["ab", "bc", "cd"], [1, 1, 1], pinned={0: "b"}, nodes="abcd")
    assert too_many(inst, 2)  # only d is out of reach of b
    assert not too_many(replace(inst, dues=(9.0, 1.0, 1.0)), 2)


def test_who_may_stay_at_home_needs_no_spot(make):
    homes = {0: "h", 1: "i"}
    assert not too_many(make([], [1, 1, 1], nodes="ahi", homes=homes), 2)
    assert too_many(make([("h", "i"), ("a", "b")], [1, 1, 1], nodes="abhi", homes=homes), 2)


def test_nodes_are_parted_into_cliques():
    assert parted("abcdef", nx.path_graph(list("abcdef")).adj) == [["a", "b"], ["c", "d"], ["e", "f"]]
    assert parted("abc", nx.complete_graph(list("abc")).adj) == [["a", "b", "c"]]
    assert parted("abc", nx.complete_graph(list("abc")).adj, apart="b") == [["a", "c"], ["b"]]


def random_instance(rng):
    nodes = rng.randint(2, 8)
    graph = nx.gnp_random_graph(nodes, rng.random(), seed=rng.randrange(10**6))
    if rng.random() < 0.5:
        reach = rng.randint(1, 3)
        graph = nx.Graph((a, b) for a, b in combinations(range(nodes), 2) if b - a <= reach)
    left, pinned, homes = rng.sample(range(nodes), nodes), {}, {}
    dues = [float(rng.randint(0, rng.choice([1, 3, 7]))) for _ in range(rng.randint(1, nodes))]
    for i in range(len(dues)):
        if (where := rng.random()) < 0.45:
            (pinned if where < 0.2 else homes)[i] = left.pop()
    exclusive = ()
    if rng.random() < 0.4:
        width = rng.randint(2, 3)
        exclusive = tuple(tuple(range(a, min(nodes, a + width))) for a in range(nodes - 1))
        left = [node for node in left if all(abs(node - other) >= width for other in pinned.values())]
    kinds, risky = (), frozenset()
    if rng.random() < 0.2:
        kinds, (a, b) = tuple(rng.randint(0, 2) for _ in dues), (rng.randint(0, 2), rng.randint(0, 2))
        risky = frozenset({(a, b), (b, a)})
    return Instance(
        graph, tuple(dues), pinned, tuple(sorted(left)), homes, exclusive=exclusive, kinds=kinds, risky=risky
    )


def test_what_counting_calls_impossible_the_model_does_too():
    proved = impossible = 0
    for seed in range(300):
        rng = Random(seed)
        inst, gap = random_instance(rng), rng.choice([0, 1, 2, 3])
        answer = solve(HangModel(inst, gap).cp, Effort(Clock(20), workers=1))
        impossible += answer.status == "infeasible"
        if too_many(inst, gap):
            assert answer.status == "infeasible", seed
            proved += 1
    assert proved > impossible / 2  # it is worth asking
