"""The widest smallest gap: a search over gaps, each a yes-or-no question to the model."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

from planner.engine.antibandwidth.full_rack import anneal_first, ask_full
from planner.engine.antibandwidth.orderings import ordered_start
from planner.engine.antibandwidth.permutation_model import is_permutation
from planner.engine.model import budget
from planner.engine.model.faults import TooLarge
from planner.engine.model.hang_model import HangModel
from planner.engine.model.instance import EPS, SAME, Instance, SpotOf
from planner.engine.model.solver import Effort, solve
from planner.engine.search.bounds import (
    possible_gaps,
    stability_bound,
    widest_below,
    widest_by_capacity,
    widest_by_cliques,
    widest_by_strangers,
)
from planner.engine.search.construct import construct
from planner.engine.search.repair import repair

HAIR = 2 * SAME  # a gap that is missed by less, for it and the dues are rounded, would be missed again


@dataclass(frozen=True)
class Widest:
    """Best assignment, its smallest gap and a proved upper bound on it (days; infinite: no neighbours).

    Dues closer than ``EPS`` are one, so the bound holds to within ``SAME``.
    """

    spot_of: SpotOf
    gap: float
    bound: float

    @property
    def proved(self) -> bool:
        """Whether nothing wider exists."""
        return self.gap >= self.bound - SAME


def widen(inst: Instance, start: SpotOf, effort: Effort) -> Widest:
    """The widest smallest gap found, with a proved bound.

    Parameters
    ----------
    start
        The assignment to begin with.

    Notes
    -----
    The answer is one of the differences between dues, or infinite. Each question "is g possible?" halves
    what is left between the best found and the bound proved (on a full rack, where a yes is found soon, the
    bound itself is asked first); a question not answered in its time is set aside, and questions below it
    come first. Then the search is stubborn: the next wider gap with more and more time, after a success in
    longer steps unless the rack is full.
    """
    gaps = possible_gaps(inst.dues)
    beyond = max(inst.dues) - min(inst.dues) + 1  # at this gap all clash: nobody may have a neighbour
    full = first = is_permutation(inst)
    best, gap = start, inst.smallest_gap(start)
    if full and not inst.pinned:
        best = max(best, ordered_start(inst, lambda: effort.clock.left <= 0), key=inst.smallest_gap)
        gap = inst.smallest_gap(best)
    most_at_all = no_wider_than(inst, effort)
    if full:
        best = anneal_first(inst, best, most_at_all, effort)
        gap = inst.smallest_gap(best)
    top = bisect_right(gaps, most_at_all + EPS)  # gaps[top:] are proved impossible
    doubtful, share, step, tries = top, budget.GAP_SHARE, 1, 0
    missed = 0  # gaps[:missed] are had, or missed by a hair
    while (low := max(missed, bisect_right(gaps, gap + EPS))) < top and (left := effort.clock.left) > 0:
        stubborn = low >= doubtful  # all below the doubtful one is decided
        k = min(low + step, top) - 1 if stubborn else (low + doubtful) // 2
        k, first = top - 1 if first else k, False
        days = min(gaps[k], beyond)
        most = f"; at most {_days(gaps[top - 1])}" if k < top - 1 else ""
        effort.say(f"smallest gap {_days(gap)}; trying {_days(gaps[k])}{most}")
        seconds = max(1.0, share * left * (budget.GAP_LONG_STEP if step > 1 else 1))
        found: SpotOf | None
        if full:
            found, impossible = ask_full(inst, days, best, effort, tries, gaps[top - 1])
        else:
            found, impossible = _ask(inst, days, best, effort, seconds)
        wider = found is not None and inst.smallest_gap(found) > gap
        if found is not None and wider:
            # Perhaps not what was asked for, but wider than before.
            best, gap = found, inst.smallest_gap(found)
        if gap >= days - EPS:
            if stubborn:
                doubtful, step = bisect_right(gaps, gap + EPS), 1 if full else 2 * step
        elif impossible:
            top, doubtful = k, min(k, doubtful)
        elif not wider and gap >= days - HAIR:
            missed, doubtful = k + 1, max(k + 1, doubtful)
        else:
            if not stubborn:
                doubtful = k
            elif step == 1:
                share, tries = min(1.0, 2 * share), tries + 1
            step = 1
    # Of very many gaps not all are listed: one between the last that is open and the next may be had.
    bound = most_at_all if top == len(gaps) else min(most_at_all, widest_below(inst.dues, gaps[top]))
    # They are rounded, too: where the bound is reached, it is the gap itself.
    return Widest(best, gap, gap if gap >= bound - SAME else bound)


def _ask(
    inst: Instance, days: float, best: SpotOf, effort: Effort, seconds: float
) -> tuple[SpotOf | None, bool]:
    """Whether ``days`` can be had: an assignment, or None and whether it is proved that there is none."""
    start = best
    if not inst.homes:
        start = repair(inst, days, construct(inst, days), effort)
        if inst.is_clash_free(start, days):
            return start, False
    try:
        model = HangModel(inst, days, effort=effort)
    except TooLarge:
        return (start if inst.smallest_gap(start) > inst.smallest_gap(best) else None), False
    model.hint(start)
    answer = solve(model.cp, effort, seconds)
    return (model.read(answer) if answer.solved else None), answer.status == "infeasible"


def no_wider_than(inst: Instance, effort: Effort) -> float:
    """Upper bound on the smallest gap, without a search for it.

    Only free items count: pairs of two pinned ones are not asked about.
    """
    dues = [inst.dues[i] for i in inst.free_items]
    nodes = [*inst.open_nodes, *inst.homes.values()]
    cliques = [[node for node in clique if node not in inst.pinned_at] for clique in inst.cover]
    full = not inst.pinned and len(dues) == len(inst.graph)
    return min(
        widest_by_capacity(dues, stability_bound(nodes, cliques, effort)),
        widest_by_cliques(dues, cliques, len(nodes) - len(dues)),
        widest_by_strangers(dues, inst.graph) if full else math.inf,
    )


def _days(gap: float) -> str:
    return "none side by side" if math.isinf(gap) else f"{gap:g} days"
