"""The clairvoyant plan: fewest clashes of anybody who knows all arrivals and all emergences in advance.

A pupa hangs on one spot from its first evening to its last, as for all who move nobody again. Annealing finds
a plan; the best of longer runs are kept in ``clairvoyant.json``, and counted anew. That none is better is
proved by counting where the rack is too crowded, and by CP-SAT where it can show within its time that no
plan is free of clashes.
"""

from __future__ import annotations

import json
import math
import random
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path

import networkx as nx
import numpy as np
import numpy.typing as npt
from ortools.sat.python import cp_model
from simulated_run import GAP
from simulated_world import FIRM, Arrival, Rack

from planner.engine.model.clique_cover import edge_clique_cover


@dataclass(frozen=True)
class Bound:
    """No plan has fewer clashes than ``least``; one with ``found`` exists."""

    least: int
    found: int


BEST = Path(__file__).parent / "clairvoyant.json"  # season → the spot of each pupa, in the order they come


def clairvoyant(rack: Rack, arrivals: Sequence[Arrival], seconds: float, season: str = "") -> Bound:
    """Two thirds of the time for finding, the rest for proving, each ended when it is done.

    ``season``: its name in the file of the best plans.
    """
    least = counted(rack, arrivals)
    best = json.loads(BEST.read_text(encoding="utf-8")).get(season)
    found = clashes_of(rack, arrivals, best) if best else len(arrivals) ** 2
    if found > least:
        found = min(found, anneal(rack, arrivals, seconds * 2 / 3))
    if least == 0 < found and impossible(rack, arrivals, seconds / 3):
        least = 1
    return Bound(least, found)


def counted(rack: Rack, arrivals: Sequence[Arrival]) -> int:
    """Clashes forced by numbers alone.

    All that pupated within less than the gap clash with one another, and are on the rack at once. So many
    spots have at least so many neighbour pairs. Added up over windows of days that have no
    day in common: the best choice of them.
    """
    of_day = Counter(a.pupated for a in arrivals)
    last = max(of_day)
    best = [0] * (last + 2 + GAP)
    for day in range(last + 1):
        evening = day + GAP - 1 + FIRM  # on which the last of the window are hung
        there = sum(day <= a.pupated < day + GAP and a.gone > evening for a in arrivals)
        best[day + 1] = max(best[day + 1], best[day])
        best[day + GAP] = max(best[day + GAP], best[day] + fewest_pairs(rack, there))
    return max(best)


def fewest_pairs(rack: Rack, count: int) -> int:
    """The fewest neighbour pairs among any ``count`` spots."""
    return int(_fewest_pairs(rack)[count])


@cache
def _fewest_pairs(rack: Rack) -> npt.NDArray[np.int64]:
    """The fewest neighbour pairs among k spots, for each k, shape (spots + 1,), by dynamic programming.

    Spots are gone through in order. All that matters of those before is which of the last ones are taken, as
    far back as the farthest neighbour: a bit for each, the lowest for the last.
    """
    size = len(rack.spots)
    back = max(abs(s - o) for s, near in enumerate(rack.near) for o in near)
    states = np.arange(1 << back)
    best = np.full((len(states), size + 1), size**2)
    best[0, 0] = 0
    for s, near in enumerate(rack.near):
        pairs = sum((states >> (s - o - 1) & 1 for o in near if o < s), np.zeros_like(states))
        free = states << 1 & len(states) - 1
        after = np.full_like(best, size**2)
        np.minimum.at(after, free, best)
        np.minimum.at(after[:, 1:], free | 1, best[:, :-1] + pairs[:, None])
        best = after
    return best.min(axis=0)


def clashes_of(rack: Rack, arrivals: Sequence[Arrival], spots: Sequence[int]) -> int:
    """The clashes of a plan, the spot of each pupa; no two may be on one spot at once."""
    clashes = 0
    for (a, s), (b, t) in combinations(zip(arrivals, spots, strict=True), 2):
        if _overlap(a, b):
            assert s != t, (a.id, b.id)
            clashes += t in rack.near[s] and _close(a, b)
    return clashes


def anneal(rack: Rack, arrivals: Sequence[Arrival], seconds: float, seed: int = 0) -> int:
    """Fewest clashes found by exchanging what two spots hold over a stretch of time.

    Such a stretch is a chain of pupae each of which overlaps the next on the other spot: exchanged whole,
    both spots still hold one at a time.
    """
    rng = random.Random(seed)
    n, size = len(arrivals), len(rack.spots)
    overlap = [{q for q in range(n) if q != p and _overlap(arrivals[p], arrivals[q])} for p in range(n)]
    clash = [[q for q in overlap[p] if _close(arrivals[p], arrivals[q])] for p in range(n)]
    near = [set(those) for those in rack.near]
    at, held = [0] * n, [set[int]() for _ in range(size)]
    for p in range(n):  # in order of coming, on the free spot with fewest clashes
        free = [s for s in range(size) if not held[s] & overlap[p]]
        here = {at[q] for q in clash[p] if q < p}
        at[p] = min(free, key=lambda s: len(near[s] & here))
        held[at[p]].add(p)

    def clashes(p: int) -> int:
        beside = near[at[p]]
        return sum(at[q] in beside for q in clash[p])

    cost = sum(map(clashes, range(n))) // 2
    best, began, step, warmth = cost, time.monotonic(), 0, 1.0
    bad: list[int] = []
    while best:
        if step % 200 == 0:
            used = (time.monotonic() - began) / seconds
            if used >= 1:
                break
            warmth = 0.6 * (1 - used) + 0.08
            bad = [p for p in range(n) if clashes(p)]
        step += 1
        p = rng.choice(bad) if bad and rng.random() < 0.5 else rng.randrange(n)
        s, t = at[p], rng.randrange(size)
        if s == t:
            continue
        chain, todo = {p}, [p]
        while todo:
            q = todo.pop()
            more = (held[t if at[q] == s else s] & overlap[q]) - chain
            chain |= more
            todo += more
        before = sum(map(clashes, chain))
        _exchange(chain, at, held, s, t)
        worse = sum(map(clashes, chain)) - before  # pairs within the chain stay what they are
        if worse <= 0 or rng.random() < math.exp(-worse / warmth):
            cost += worse
            best = min(best, cost)
        else:
            _exchange(chain, at, held, s, t)
    return best


def _exchange(chain: set[int], at: list[int], held: list[set[int]], s: int, t: int) -> None:
    for q in chain:
        held[at[q]].discard(q)
    for q in chain:
        at[q] = t if at[q] == s else s
        held[at[q]].add(q)


def _overlap(a: Arrival, b: Arrival) -> bool:
    return a.hung < b.gone and b.hung < a.gone


def _close(a: Arrival, b: Arrival) -> bool:
    return abs(a.pupated - b.pupated) < GAP


def impossible(rack: Rack, arrivals: Sequence[Arrival], seconds: float) -> bool:
    """Whether it is proved in time that every plan has a clash.

    One Boolean for each spot and each group of pupae of one day of pupation and one last evening.
    """
    cp = cp_model.CpModel()
    groups = Counter((a.pupated, a.hung, a.gone) for a in arrivals)
    x = {(s, g): cp.new_bool_var("") for s in range(len(rack.spots)) for g in groups}
    for g, count in groups.items():
        cp.add(sum(x[s, g] for s in range(len(rack.spots))) == count)
    graph: nx.Graph[int] = nx.Graph((s, o) for s, near in enumerate(rack.near) for o in near)
    cliques = edge_clique_cover(graph)
    for evening in sorted({hung for _, hung, _ in groups}):
        there = [g for g in groups if g[1] <= evening < g[2]]
        for s in range(len(rack.spots)):
            cp.add_at_most_one(x[s, g] for g in there)
        for first in {g[0] for g in there}:
            run = [g for g in there if first <= g[0] < first + GAP]
            for clique in cliques:
                cp.add_at_most_one(x[s, g] for s in clique for g in run)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 1
    return bool(solver.solve(cp) == cp_model.INFEASIBLE)
