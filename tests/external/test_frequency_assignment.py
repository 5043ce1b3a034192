"""Minimum-span frequency assignment, Philadelphia: 21 hexagonal cells, each wants so many frequencies.

L. G. Anderson, "A simulation study of some dynamic channel assignment algorithms in a high capacity mobile
telecommunications system", IEEE Trans. Commun. 21 (1973) 1294-1301 (citation from memory); K. N. Sivarajan,
R. J. McEliece, J. W. Ketchum, "Channel assignment in cellular radio", Proc. 39th IEEE Vehicular Technology
Conf. (1989) 846-850 (from memory): co-site separation s, adjacent separation 1, frequencies reused in
clusters of 7 or 12 cells. Demands and layout were read in the public test data of a solver of integer
programs (instance P1 there). Where the demand of one cell decides, the optimum is s * (largest demand - 1):
380 for s = 5, 532 for s = 7 (published as 381 and 533 frequencies; from memory). That nothing less will do
needs no source, and that it will do is shown here.

In our words: each cell is a line of its own, each frequency a position on it; the calls of a cell are pupae
of one date, for which that line alone is reserved (``reserved_beside``). Clips of one line need the width s,
those of a cluster 1: all of that is ``exclusive``. Nobody clashes by date here, so what is checked is how
pupae are counted, and clips with sliding widths across lines.

Adjacent cells 2 apart can be written down in the same way (windows of 2 for each set of cells adjacent to one
another; ``separations`` and ``assign`` take it), and with s = 7 the bound above is the published optimum
there, too (from memory). It is not among the tests because it is not found: dealt out frequency by frequency
to the cells with most calls first, 5 of the 481 calls are left over, and the model of some 11,000 Booleans
had no answer after 108 processor seconds of one worker. Mending by exchanges knows clashes of dates only.
With s = 5 the optimum is above that bound (427 frequencies, from memory). ``arrange`` itself has one gap for
all neighbours; three separations at once are not in it.
"""

from itertools import combinations, pairwise

import networkx as nx
import pytest

from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort, solve_repeatably
from planner.engine.search.lexicographic import solve_lexicographic

DEMAND = (8, 25, 8, 8, 8, 15, 18, 52, 77, 28, 13, 15, 31, 15, 36, 57, 28, 8, 10, 13, 8)
# Cells in rows, the first of each at so many half cell widths from the left.
ROWS = ((3, 5), (0, 7), (-1, 6), (4, 3))
CELLS = [(start + 2 * k, row) for row, (start, count) in enumerate(ROWS) for k in range(count)]


def squared(one, other):
    """Squared distance of two cells in cell widths: rows are sqrt(3) / 2 apart."""
    (x, row), (x2, row2) = CELLS[one], CELLS[other]
    return ((x - x2) ** 2 + 3 * (row - row2) ** 2) / 4


def separations(same, adjacent, cluster):
    """Pairs of cells → how far apart their frequencies must be; in a cluster: nearer than its root."""
    found = {(c, c): same for c in range(21)}
    for one, other in combinations(range(21), 2):
        if squared(one, other) < cluster:
            found[one, other] = adjacent if squared(one, other) == 1 else 1
    return found


def assign(demand, apart, span):
    """Frequencies 0 to ``span`` for each cell."""
    most_first = sorted(range(len(demand)), key=lambda c: -demand[c])
    nodes = [(c, f) for f in range(span + 1) for c in most_first]
    graph = nx.Graph()
    graph.add_nodes_from(nodes)
    groups = []
    for least in set(
        apart.values()
    ):  # cells that all need so much from one another: one of a window of that width
        cells = nx.Graph(pair for pair, width in apart.items() if width >= least)
        cells.remove_edges_from([(c, c) for c in list(cells)])
        for clique in nx.find_cliques(cells):
            groups += [
                tuple((c, f) for c in clique for f in range(first, min(first + least, span + 1)))
                for first in range(span + 1)
            ]
    others = {c: tuple((float(d), 0) for d in range(len(demand)) if d != c) for c in range(len(demand))}
    inst = Instance(
        graph,
        tuple(float(c) for c, count in enumerate(demand) for _ in range(count)),
        {},
        tuple(nodes),
        exclusive=tuple(group for group in groups if len(group) > 1),
        reserved_beside={node: others[node[0]] for node in nodes},
        reserved_gap=0.5,
    )
    solution = solve_lexicographic(inst, 0, Effort(Clock(300), workers=1))
    found = [[] for _ in demand]
    for item, (cell, f) in solution.spot_of.items():
        assert inst.dues[item] == cell
        found[cell].append(f)
    return [sorted(here) for here in found]


def enough_for_one(count, same, span):
    """Whether the solver hangs so many clips of that width on one line."""
    nodes = tuple(range(span + 1))
    graph = nx.Graph()
    graph.add_nodes_from(nodes)
    windows = tuple(nodes[f : f + same] for f in nodes if f + same <= span + 1)
    model = HangModel(Instance(graph, (0.0,) * count, {}, nodes, exclusive=windows), 0)
    return solve_repeatably(model.cp, Effort(Clock(60), workers=1), 10).status


@pytest.mark.parametrize(("same", "cluster"), [(5, 7), (5, 12), (7, 7), (7, 12)])
def test_the_cell_with_most_calls_decides(same, cluster):
    apart = separations(same, 1, cluster)
    span = same * (max(DEMAND) - 1)
    found = assign(DEMAND, apart, span)
    assert tuple(map(len, found)) == DEMAND
    for (one, other), least in apart.items():
        if one == other:
            assert all(b - a >= least for a, b in pairwise(found[one]))
        else:
            assert all(abs(a - b) >= least for a in found[one] for b in found[other])


@pytest.mark.parametrize("same", [5, 7])
def test_no_shorter_span_is_enough_for_that_cell_alone(same):
    span = same * (max(DEMAND) - 1)
    assert enough_for_one(max(DEMAND), same, span) == "optimal"
    assert enough_for_one(max(DEMAND), same, span - 1) == "infeasible"


def test_the_layout_is_that_of_the_published_instance():
    # Adjacent cells of five cells, as listed there (counted from 1).
    listed = {
        1: {2, 7, 8},
        9: {2, 3, 8, 10, 16, 17},
        13: {6, 14},
        16: {8, 9, 15, 17, 19, 20},
        21: {17, 18, 20},
    }
    for cell, neighbours in listed.items():
        assert {k + 1 for k in range(21) if k != cell - 1 and squared(cell - 1, k) == 1} == neighbours
    assert sum(squared(*pair) == 1 for pair in combinations(range(21), 2)) == 44
    assert sum(DEMAND) == 481
