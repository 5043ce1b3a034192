"""The first levels of instances whose models are too large: rounded dues, values and bounds that are true."""

import random
from itertools import permutations

import networkx as nx
import pytest

from planner.engine import affordable_lexicographic as module
from planner.engine.affordable_lexicographic import affordable_lexicographic
from planner.engine.model.faults import TooLarge
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search import lexicographic
from planner.engine.search.lexicographic import left_behind


@pytest.fixture
def only_small_models(monkeypatch):
    """Models of more than four classes are too large."""
    real = lexicographic.HangModel

    def made(inst, gap, **options):
        if len(set(inst.dues)) > 4:
            raise TooLarge
        return real(inst, gap, **options)

    monkeypatch.setattr(lexicographic, "HangModel", made)
    monkeypatch.setattr(module, "most_classes", lambda *_: 4)
    monkeypatch.setattr(module.budget, "ROUNDED_CLASSES", 2)


def small(rng):
    """Up to six items due by the hour, some at home, on up to seven nodes; clashes are often unavoidable."""
    n = rng.randint(3, 6)
    graph = nx.gnp_random_graph(n + rng.randint(0, 1) + 2, 0.5, seed=rng.randrange(10**6))
    nodes = list(graph)
    homes = {i: nodes[i] for i in range(min(2, n))}
    dues = tuple(round(rng.uniform(0, 6), 2) for _ in range(n))
    barred = frozenset(i for i in homes if rng.random() < 0.3)
    return Instance(graph, dues, {}, tuple(nodes[2:]), homes=homes, barred=barred)


def best(inst, gap):
    """The least (left, clashes, touched), by trying all."""
    found = []
    for way in permutations([*inst.open_nodes, *inst.homes.values()], len(inst.dues)):
        spot_of = dict(enumerate(way))
        own = {node: i for i, node in inst.homes.items()}
        if all(own.get(node, i) == i for i, node in spot_of.items()):
            clashes = len(inst.clashes(spot_of, gap))
            found.append((left_behind(inst, spot_of), clashes, inst.handling(spot_of)))
    return min(found)


@pytest.mark.usefixtures("only_small_models")
@pytest.mark.parametrize("seed", range(25))
def test_no_bound_is_above_the_best_there_is_and_no_value_below_it(seed):
    inst = small(random.Random(seed))
    effort = Effort(Clock(60), workers=1)
    found = affordable_lexicographic(inst, 1.5, effort)
    level = {one.name: one for one in found.levels}
    left, clashes, touched = best(inst, 1.5)
    reached = left_behind(inst, found.spot_of), len(inst.clashes(found.spot_of, 1.5))
    assert level["clashes"].value == reached[1]
    assert (*reached, inst.handling(found.spot_of)) >= (left, clashes, touched)
    if inst.barred:
        assert level["left"].bound <= left
    if reached[0] == left:
        assert level["clashes"].bound <= clashes
    if reached == (left, clashes):
        assert level["touched"].bound <= touched
