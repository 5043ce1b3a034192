"""How many pupae a yarn of 180 cm takes: clips that slide against fixed marks, by mix of dates.

Run by hand: ``python tests/bench/yarn.py``. Clips 3 cm wide, wing reach 10 cm, gap 2 days, 1 cm kept free
for each knot. For each mix the largest number for which a plan without clashes is found; one more is proved
not to fit, or the number is marked with a ``+``. A plan counts when the distances of all pairs, measured
here, are enough.
"""

from __future__ import annotations

import argparse
from itertools import combinations

import networkx as nx

from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort, solve_repeatably
from planner.engine.search.construct import construct

LENGTH, KNOT, CLIP, REACH, GAP = 180, 1, 3, 10, 2
RACKS = {
    "sliding": range(KNOT, LENGTH - KNOT + 1),  # whole cm: clip and reach are, so nothing finer is needed
    "marks every 4 cm": range(4, LENGTH, 4),
    "marks every 3 cm": range(3, LENGTH, 3),
}
MIXES = {
    "all of one date": lambda i: 0 * i,
    "2 dates, one after the other": lambda i: i % 2,
    "3 consecutive dates": lambda i: i % 3,
    "4 consecutive dates": lambda i: i % 4,
    "5 consecutive dates": lambda i: i % 5,
    "8 consecutive dates": lambda i: i % 8,
    "14 consecutive dates": lambda i: i % 14,
    "2 dates, 2 days apart": lambda i: 2 * (i % 2),
    "3 dates, 2 days apart": lambda i: 2 * (i % 3),
    "4 dates, 2 days apart": lambda i: 2 * (i % 4),
    "2 of each date": lambda i: i // 2,
    "1 of each date": lambda i: i,
}


def fits(places: range, dues: list[int], work: float) -> bool | None:
    """Whether all can hang there; None: not settled within so many deterministic seconds."""
    if len(dues) * CLIP - CLIP > places[-1] - places[0]:
        return False
    graph = nx.Graph()
    graph.add_nodes_from(places)
    graph.add_edges_from((a, b) for a, b in combinations(places, 2) if b - a < REACH)
    groups = tuple(tuple(b for b in places if a <= b < a + CLIP) for a in places)
    exclusive = tuple(group for group in groups if len(group) > 1)
    inst = Instance(graph, tuple(map(float, dues)), {}, tuple(places), exclusive=exclusive)
    if len(dues) > len(places):
        return False
    found = construct(inst, GAP)
    if not inst.is_clash_free(found, GAP):
        model = HangModel(inst, GAP)
        answer = solve_repeatably(model.cp, Effort(Clock(1e5), workers=1), work)
        if not answer.solved:
            return False if answer.status == "infeasible" else None
        found = model.read(answer)
    for i, j in combinations(range(len(dues)), 2):
        near = REACH if abs(dues[i] - dues[j]) < GAP else CLIP
        assert abs(found[i] - found[j]) >= near
    return True


def most(places: range, mix, work: float) -> str:
    n = 10
    while fits(places, [mix(i) for i in range(n + 1)], work):
        n += 1
    proved = fits(places, [mix(i) for i in range(n + 1)], work) is False
    return f"{n}{'' if proved else '+'}"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--work", type=float, default=20, help="deterministic seconds for each question")
    work = options.parse_args().work
    print(f"| dates | {' | '.join(RACKS)} |\n|---|{'---|' * len(RACKS)}")
    for name, mix in MIXES.items():
        print(f"| {name} | {' | '.join(most(places, mix, work) for places in RACKS.values())} |", flush=True)


if __name__ == "__main__":
    main()
