"""Ways to hang a rack, for `compare.py`: (graph, dues, gap, pinned) → item → spot, or None.

What each is, and how it was adapted, stands in its docstring; none but the first knows anything of ours.
"""

from __future__ import annotations

from collections import defaultdict

import networkx as nx
import numpy as np

STRATEGIES = (  # the slow ones last
    "largest_first",
    "smallest_last",
    "connected_sequential_bfs",
    "connected_sequential_dfs",
    "random_sequential",
    "saturation_largest_first",
    "independent_set",
)


def clashes(graph, dues, gap, spot_of) -> int:
    """Counted from the arguments alone, by nobody's code but this."""
    at = {spot: item for item, spot in spot_of.items()}
    assert len(at) == len(spot_of) == len(dues), "everybody on a spot of its own"
    return sum(abs(dues[at[u]] - dues[at[v]]) < gap for u, v in graph.edges if u in at and v in at)


def ours(graph, dues, gap, pinned, seconds=1e6):
    from planner import arrange

    return arrange(graph, dues, gap=gap, pinned=pinned, seconds=seconds, workers=1).spot_of


def cp_sat(graph, dues, gap, pinned):
    """One Boolean per pupa and spot, one worker, no hints, no objective.

    Each pupa on one spot, each spot at most one pupa; for each pair of neighbours and each run of dates that
    clash, at most one of these pupae on the two.
    """
    from ortools.sat.python import cp_model

    spots, model = list(graph), cp_model.CpModel()
    x = {(i, s): model.new_bool_var("") for i in range(len(dues)) for s in spots}
    for i in range(len(dues)):
        model.add_exactly_one(x[i, s] for s in spots)
    for s in spots:
        model.add_at_most_one(x[i, s] for i in range(len(dues)))
    for run in runs(dues, gap):
        for u, v in graph.edges:
            model.add_at_most_one(x[i, s] for i in run for s in (u, v))
    for i, s in pinned.items():
        model.add(x[i, s] == 1)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return {i: s for (i, s), one in x.items() if solver.value(one)}


def highs(graph, dues, gap, pinned):
    """A 0-1 program in scipy's HiGHS, one variable per spot and date (the stronger form).

    So many of each date as there are, at most one per spot, and for each clique of spots and each run of
    dates that clash at most one.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    spots, dates = list(graph), sorted(set(dues))
    number, of_date = {s: k for k, s in enumerate(spots)}, {d: k for k, d in enumerate(dates)}
    rows, columns, low, high = [], [], [], []

    def add(variables, least, most):
        rows.extend([len(low)] * len(variables))
        columns.extend(variables)
        low.append(least)
        high.append(most)

    def var(s, d):
        return number[s] * len(dates) + d

    for d, date in enumerate(dates):
        many = sum(due == date for due in dues)
        add([var(s, d) for s in spots], many, many)
    for s in spots:
        add([var(s, d) for d in range(len(dates))], 0, 1)
    together = [sorted({of_date[dues[i]] for i in run}) for run in runs(dues, gap)]
    for clique in nx.find_cliques(graph):
        for run in together if len(clique) > 1 else ():
            add([var(s, d) for s in clique for d in run], 0, 1)
    lower = np.zeros(len(spots) * len(dates))
    for i, s in pinned.items():
        lower[var(s, of_date[dues[i]])] = 1
    matrix = csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(low), len(lower)))
    found = milp(
        np.zeros(len(lower)),
        integrality=np.ones(len(lower)),
        bounds=Bounds(lower, np.ones(len(lower))),
        constraints=LinearConstraint(matrix, low, high),
    )
    if found.x is None:
        return None
    waiting = defaultdict(list)
    for i, due in enumerate(dues):
        if i not in pinned:
            waiting[due].append(i)
    held = set(pinned.values())
    result = dict(pinned)
    for s in spots:
        for d, date in enumerate(dates):
            if found.x[var(s, d)] > 0.5 and s not in held:
                result[waiting[date].pop()] = s
    return result


def colouring(graph, dues, gap, pinned):
    """networkx's greedy colouring of the *spots*: those of one colour may hold near dates.

    Pupae in order of date fill colour after colour, each along the rack; neighbours are of different
    colours, and so about as far apart in date as the colours are large. The best of all strategies and of
    three orders of the colours. It cannot heed who hangs already: only open spots are coloured.
    """
    open_graph = nx.Graph(graph)  # a copy: a view would be slow
    open_graph.remove_nodes_from(pinned.values())
    order = {s: k for k, s in enumerate(graph)}
    items = sorted((i for i in range(len(dues)) if i not in pinned), key=lambda i: dues[i])
    best, fewest = None, None
    for strategy in STRATEGIES:
        by_colour = defaultdict(list)
        for s, colour in nx.greedy_color(open_graph, strategy).items():
            by_colour[colour].append(s)
        for spots in by_colour.values():
            spots.sort(key=order.__getitem__)
        largest_first = sorted(by_colour.values(), key=len, reverse=True)
        along = sorted(by_colour.values(), key=lambda spots: order[spots[0]])
        for colours in (list(by_colour.values()), largest_first, along):
            dealt = [s for spots in colours for s in spots]
            found = {**pinned, **dict(zip(items, dealt, strict=False))}
            number = clashes(graph, dues, gap, found)
            if fewest is None or number < fewest:
                best, fewest = found, number
            if not number:
                return found
    return best


def person(graph, dues, gap, pinned):  # as all are called
    """A person's way: sorted by date and dealt to the lines in turn, on each from its left end."""
    lines = defaultdict(list)
    taken = set(pinned.values())
    for line, k in graph:
        if (line, k) not in taken:
            lines[line].append((line, k))
    rounds = max(map(len, lines.values()))
    dealt = [spots[r] for r in range(rounds) for spots in lines.values() if r < len(spots)]
    items = sorted((i for i in range(len(dues)) if i not in pinned), key=lambda i: dues[i])
    return {**pinned, **dict(zip(items, dealt, strict=False))}


def runs(dues, gap):
    """Pupae of which any two clash, as large sets as there are: due within less than the gap."""
    found = []
    for first in sorted(set(dues)):
        run = [i for i, due in enumerate(dues) if first <= due < first + gap]
        if len(run) > 1 and not (found and set(run) <= set(found[-1])):
            found.append(run)
    return found


METHODS = {"ours": ours, "cp-sat": cp_sat, "highs": highs, "colouring": colouring, "person": person}
