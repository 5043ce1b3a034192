"""A proof that a gap is impossible, from dues rounded to halves of the gap."""

from __future__ import annotations

import math
from dataclasses import replace

from planner.engine.antibandwidth.permutation_model import busiest_of_mirrored
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, Instance, Node
from planner.engine.model.solver import Effort, solve_repeatably

PARTS = 2  # of a gap


def is_impossible(inst: Instance, gap: float, effort: Effort, work: float) -> bool:
    """Whether ``gap`` is proved impossible in ``work`` deterministic seconds of the model by class.

    Notes
    -----
    The k-th half of the gap holds what is due k to k + 1 halves after the first. Two dues at least a gap
    apart are in halves whose numbers differ by 2 or more. So where no arrangement of the halves keeps their
    neighbours 2 apart, there is none of the dues. There are few classes, and how far a set of spots and all
    beside them reach is counted: a set that fills one half has its neighbours in the halves beyond the next.
    """
    halved = in_halves(inst, gap)
    classes = sorted(set(halved.dues))
    busiest = busiest_of_mirrored(inst)
    middle = (min(inst.dues) + max(inst.dues)) / 2
    early = {halved.dues[i] for i, due in enumerate(inst.dues) if due <= middle + EPS}

    def wanted(node: Node, c: int) -> bool:
        return node != busiest or classes[c] in early

    try:
        model = HangModel(halved, PARTS, wanted=wanted, merge=False, effort=effort)
    except TooLarge:
        return False
    return solve_repeatably(model.cp, effort, work).status == "infeasible"


def in_halves(inst: Instance, gap: float) -> Instance:
    """The instance in which each due is the number of halves of the gap after the first."""
    first, half = min(inst.dues), (gap - 2 * EPS) / PARTS
    return replace(inst, dues=tuple(float(math.floor((due - first) / half)) for due in inst.dues))
