"""`arrange` equals brute force on every small graph, repeated dates and pins included."""

import math
from itertools import permutations

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner import arrange


@st.composite
def small_cases(draw):
    n = draw(st.integers(1, 6))
    pairs = [(a, b) for a in range(n) for b in range(a)]
    graph = nx.Graph()
    graph.add_nodes_from(range(n))
    graph.add_edges_from(draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else [])
    dues = draw(st.lists(st.sampled_from([0, 1, 1.5, 2, 3, 5, 8]), min_size=1, max_size=n))
    where = draw(st.permutations(range(n)))
    pinned = {i: where[i] for i in draw(st.sets(st.integers(0, len(dues) - 1), max_size=2))}
    return graph, dues, pinned


def every_way(graph, dues, pinned):
    for nodes in permutations(graph, len(dues)):
        if all(nodes[i] == node for i, node in pinned.items()):
            at = {node: dues[i] for i, node in enumerate(nodes)}
            yield [abs(at[u] - at[v]) for u, v in graph.edges if u in at and v in at]


@tries(60)
@given(small_cases())
def test_widest_smallest_gap(case):
    graph, dues, pinned = case
    best = max(min(gaps, default=math.inf) for gaps in every_way(graph, dues, pinned))
    a = arrange(graph, dues, pinned=pinned, workers=1)
    assert (a.smallest_gap, a.bound, a.proved) == (best, best, True)


@tries(60)
@given(small_cases(), st.sampled_from([0, 0.5, 1, 2, 3]))
def test_fewest_clashes(case, gap):
    graph, dues, pinned = case
    best = min(sum(g < gap for g in gaps) for gaps in every_way(graph, dues, pinned))
    a = arrange(graph, dues, gap=gap, pinned=pinned, workers=1)
    assert (len(a.clashes), a.bound, a.proved) == (best, best, True)
    assert all(a.spot_of[i] == node for i, node in pinned.items())
    assert len(set(a.spot_of.values())) == len(dues)
    assert all(graph.has_edge(a.spot_of[i], a.spot_of[j]) for i, j in a.clashes)
    assert all(abs(dues[i] - dues[j]) < gap for i, j in a.clashes)
