"""Tight racks: clashes of the constructed start, of the repaired one, and the processor time of both.

Run by hand: ``python tests/bench/repairing.py``. Lines of 50 marks (everybody within two a neighbour) and
staggered boards of 100 pins (up to six neighbours), dates by lot; in part of the rows a third of the pupae
hang already, on spots drawn by lot where they clash with nobody. Some rows may have no plan without clashes.
"""

from __future__ import annotations

import random
import time

import networkx as nx

from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.construct import construct
from planner.engine.search.repair import repair

ROWS = ((0.95, 7, 2), (0.95, 12, 3), (1.0, 10, 2), (1.0, 14, 3))  # fill, dates, gap


def lines(spots: int) -> nx.Graph:
    graph = nx.Graph()
    for line in range(spots // 50):
        graph.add_edges_from(((line, k), (line, k + d)) for d in (1, 2) for k in range(50 - d))
    return graph


def boards(spots: int) -> nx.Graph:
    graph = nx.Graph()
    for board in range(spots // 100):
        for row in range(10):
            slant = 1 if row % 2 else -1
            for pin in range(10):
                for r, p in ((row, pin + 1), (row + 1, pin), (row + 1, pin + slant)):
                    if r < 10 and 0 <= p < 10:
                        graph.add_edge((board, row, pin), (board, r, p))
    return graph


def instance(graph: nx.Graph, fill: float, days: int, gap: float, hung: float) -> Instance:
    rng = random.Random(0)
    nodes = list(graph)
    dues = [float(rng.randrange(days)) for _ in range(int(len(nodes) * fill))]
    pinned: dict[int, object] = {}
    at: dict[object, int] = {}
    for item in range(int(len(dues) * hung)):
        for node in rng.sample(nodes, 20):
            clear = all(abs(dues[at[w]] - dues[item]) >= gap for w in graph[node] if w in at)
            if node not in at and clear:
                at[node], pinned[item] = item, node
                break
    return Instance(graph, tuple(dues), pinned, tuple(node for node in nodes if node not in at))


def main() -> None:
    print("| rack | pupae | full | dates | gap | hung | constructed | repaired | seconds |")
    print(f"|{'---|' * 9}", flush=True)
    for name, make in (("lines", lines), ("boards", boards)):
        for spots in (1_000, 10_000):
            for fill, days, gap in ROWS:
                for hung in (0.0, 1 / 3):
                    inst = instance(make(spots), fill, days, gap, hung)
                    began = time.process_time()
                    start = construct(inst, gap)
                    repaired = repair(inst, gap, start, Effort(Clock(3600)))
                    took = time.process_time() - began
                    counts = [len(inst.clashes(found, gap)) for found in (start, repaired)]
                    share = "a third" if hung else "none"
                    print(
                        f"| {name} | {len(inst.dues):,} | {fill:.0%} | {days} | {gap} | {share} "
                        f"| {counts[0]:,} | {counts[1]:,} | {took:.2f} |",
                        flush=True,
                    )


if __name__ == "__main__":
    main()
