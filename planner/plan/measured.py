"""The levels of a plan as it is in the end: what was reached early may have become better later."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from planner.plan.carry import carrying_of
from planner.plan.close import close_pairs
from planner.plan.instance import EPS, SpotOf
from planner.plan.settle import Worry, left_behind
from planner.plan.shorten import total_length
from planner.plan.situation import Situation
from planner.season import Level

Measure = Callable[[], float]


def measured(
    case: Situation, spot_of: SpotOf, levels: Iterable[Level], days: float, worry: Worry | None
) -> Iterator[Level]:
    """The same levels with their values found again from ``spot_of``; a bound still holds for what is better.

    ``clashes`` counts pairs of which neither may be touched as well; the solver leaves them out, so they are
    added to its bound. ``days``: the gap asked for. ``room`` and ``waiting`` are not settled by where
    everybody hangs, and stay as they are.
    """
    inst = case.instance
    decided = inst.clashes(spot_of, days)
    clashes, _ = case.too_close(spot_of, days)
    pinned = len(clashes) - (len(decided) - inst.waiting(spot_of, days))
    values: Mapping[str, Measure] = {
        "left": lambda: left_behind(inst, spot_of),
        "clashes": lambda: len(clashes),
        "trouble": lambda: sum(worry(math.floor(inst.gap(*pair) + EPS)) for pair in decided) if worry else 0,
        "touched": lambda: inst.handling(spot_of),
        "handling": lambda: inst.handling(spot_of),
        "smallest_gap": lambda: smallest_gap(case, spot_of, days),
        "close": lambda: close_pairs(inst, spot_of, days),
        "length": lambda: total_length(spot_of, case.along, case.undated.values()),
        "carrying": lambda: carrying_of(case).total(inst, spot_of) / 10,
    }
    digits = {"smallest_gap": 4, "length": 3, "carrying": 1}
    for level in levels:
        value, bound = level.value, level.bound
        if level.name in values:
            found = values[level.name]()
            value = None if math.isinf(found) else round(found, digits.get(level.name, 0))
        if bound is not None:
            bound += pinned if level.name == "clashes" else 0
            bound = round(bound, digits.get(level.name, 6))
            bound = max(0, bound) if level.name == "clashes" else bound
        yield replace(level, value=value, bound=bound, proved=value == bound)


def smallest_gap(
    case: Situation, spot_of: SpotOf, days: float, among: Collection[int] | None = None
) -> float:
    """Days between the nearest dues of two neighbours, but for pairs that wait; infinite where there is none.

    ``among``: only pairs of which both are of these items.
    """
    inst = case.instance
    _, waiting = case.too_close(spot_of, days)
    apart = {frozenset((pair.a, pair.b)) for pair in waiting}
    return min(
        (
            inst.gap(a, b)
            for a, b in inst.neighbour_pairs(spot_of, pinned_too=True)
            if (among is None or (a in among and b in among))
            and frozenset((case.ids[a], case.ids[b])) not in apart
        ),
        default=math.inf,
    )
