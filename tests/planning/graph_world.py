"""Small random graphs, the truth about them by trying every way, and searches cut short at any point.

All is drawn from one ``Random``, so that a seed says everything: ``python tests/bench/proofs.py`` tries many.
"""

import itertools
import math
from contextlib import contextmanager
from functools import cache

import networkx as nx
import numpy as np

from planner import arrange
from planner.engine.model import budget
from planner.engine.model import solver as solving
from planner.engine.model.instance import EPS


@contextmanager
def cut_short(at, work):
    """The solver's ``at``-th model has ``work`` deterministic seconds only, and then all is interrupted.

    With no work at all the solver is begun, and has to end at once. Local search gets little work, so that
    the solver is asked more often.
    """
    real, asked = solving._run, itertools.count(1)
    luck = budget.REPAIR_LEAST, budget.ANNEALING_EACH
    budget.REPAIR_LEAST, budget.ANNEALING_EACH = 2000, 200

    def run(model, effort, seconds, workers, deterministic, *rest, **more):
        if next(asked) < at:
            return real(model, effort, seconds, workers, deterministic, *rest, **more)
        seconds = seconds if work else min(seconds, 1e-9)
        answer = real(model, effort, seconds, workers, work or None, *rest, **more)
        effort.clock.interrupt()
        return answer

    solving._run = run
    try:
        yield
    finally:
        solving._run = real
        budget.REPAIR_LEAST, budget.ANNEALING_EACH = luck


def any_end(rng):
    """How a search ends: by the clock, or at which model after how much work; sometimes not at all."""
    seconds = 10 ** rng.uniform(math.log10(0.0002), math.log10(2)) if rng.random() < 0.5 else 20.0
    at = rng.randint(1, 5) if rng.random() < 0.8 else 10**9
    return seconds, at, 0.0 if rng.random() < 0.5 else 10 ** rng.uniform(-6, -1)


def any_question(rng):
    """Graph, dues, gap or None, pins: of at most seven nodes."""
    n = rng.randint(2, 7)
    if rng.random() < 0.3:
        graph = nx.convert_node_labels_to_integers(nx.grid_2d_graph(2, (n + 1) // 2))
    else:
        graph = nx.gnp_random_graph(n, rng.uniform(0.1, 0.9), seed=rng.randrange(2**31))
    n = len(graph)
    dates = rng.choice([range(3), range(8), [0, 1, 1.5, 2, 3, 5, 8], [k * 5 / 24 for k in range(12)]])
    full_of_dates = rng.random() < 0.3
    dues = (
        list(range(n)) if full_of_dates else [rng.choice(dates) for _ in range(rng.randint(max(1, n - 2), n))]
    )
    nodes = rng.sample(range(n), n)
    pinned = {i: nodes[i] for i in rng.sample(range(len(dues)), min(len(dues), rng.choice([0, 0, 1, 2])))}
    return graph, dues, rng.choice([None, None, 0, 0.5, 1, 2, 3]), pinned


@cache
def _ways(nodes, items):
    return np.array(list(itertools.permutations(range(nodes), items)))


def truth(graph, dues, gap, pinned):
    """Widest smallest gap without a gap, fewest clashes with one, over every way to hang all."""
    ways = _ways(len(graph), len(dues))
    for item, node in pinned.items():
        ways = ways[ways[:, item] == node]
    at = np.full((len(ways), len(graph)), np.nan)
    np.put_along_axis(at, ways, np.array(dues, dtype=float)[None, :].repeat(len(ways), 0), 1)
    apart = np.full((len(ways), 1), np.inf)
    if graph.number_of_edges():
        apart = np.nan_to_num(
            abs(at[:, [u for u, _ in graph.edges]] - at[:, [v for _, v in graph.edges]]), nan=np.inf
        )
    return apart.min(axis=1).max() if gap is None else int((apart < gap - EPS).sum(axis=1).min())


def fault_of_arrange(rng, stopped=lambda: None):
    """What ``arrange`` said falsely of one random question, or None."""
    graph, dues, gap, pinned = any_question(rng)
    best = truth(graph, dues, gap, pinned)
    seconds, at, work = any_end(rng)
    with cut_short(at, work):
        stopped()
        found = arrange(
            graph, dues, gap=gap, pinned=pinned, seconds=seconds, workers=1, seed=rng.randrange(99)
        )
    value, better = (found.smallest_gap, 1) if gap is None else (len(found.clashes), -1)
    said = f"{sorted(graph.edges)} {dues} {gap} {pinned}: {value}, {found.bound}, {found.proved}; true {best}"
    if better * value > better * best + EPS or better * found.bound < better * best - 2 * EPS:
        return said
    return said if found.proved and value != best and abs(value - best) > 2 * EPS else None
