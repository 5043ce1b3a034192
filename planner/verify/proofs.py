"""The verifier's rules about what a plan claims of itself: its levels, their values and their bounds."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping

from planner.season.plan.plan_record import Level, Plan
from planner.verify.case import Case, Findings
from planner.verify.levels import OLDER, VALUES, Measured
from planner.verify.room import Room

# By how much a value that is no whole number may differ, as it is rounded in the plan.
AGREE: Mapping[str, float] = {
    "smallest_gap": 1e-4,
    "length": 1e-2,
    "carrying": 0.01,
    "room": 1e-6,
    "risk": 1e-6,
}
MAXIMISED = ("smallest_gap",)  # levels of which more is better
ORDER = (
    "unplaced", "waiting", "left", "clashes", "trouble", "touched", "handling", "stability", "room",
    "smallest_gap", "touched", "handling", "stability", "close", "risk", "elbow_room", "length", "carrying",
)  # fmt: skip
NEIGHBOURS = ("smallest_gap", "close")  # numbers told of a plan beside its levels
LISTED = (
    "clashes",
    "touched",
    "waiting",
    "stability",
)  # levels whose value is the length of a list of the plan


def older_levels(plan: Plan) -> list[str]:
    """The levels of a plan that an older hangplan sought and this one does not, in the plan's order."""
    return [level.name for level in plan.proof if level.name in OLDER]


def levels_in_order(case: Case) -> Findings:
    """Each level is known, stands once, and stands in the order of the objectives.

    Levels are lexicographic: the value of each is the best possible only given those before it. The levels
    ``touched`` and ``handling`` exclude one another. They and ``stability`` may stand after ``smallest_gap``
    instead of before it, where the plan was made with ``--widest``.
    """
    at, names = 0, {level.name for level in case.plan.proof}
    order = ORDER if "smallest_gap" in names else tuple(dict.fromkeys(ORDER))
    for name, times in Counter(level.name for level in case.plan.proof).items():
        if times > 1:
            yield (), f"level {name} stands {times} times: allowed is once"
    for level in case.plan.proof:
        if level.name not in VALUES:
            yield (), f"level {level.name} is not known: allowed are {', '.join(VALUES)}"
        elif level.name in order[at:]:
            at = order.index(level.name, at)
        elif sum(one.name == level.name for one in case.plan.proof) == 1:
            yield (), f"level {level.name} stands after {order[at]}: allowed is before it"
    if names >= {"touched", "handling"}:
        yield (), "levels touched and handling both stand there: allowed is one of them"


def values_are_true(case: Case) -> Findings:
    """The value of each level is the one that the plan has, counted again from where each pupa hangs.

    The keeper judges a plan by these values. With the level ``room``, the spots hoped for are checked as
    well.
    """
    measured = Measured(case)
    for level in case.plan.proof:
        if level.name not in VALUES:
            continue
        found = VALUES[level.name](measured)
        if not _agree(level.name, math.inf if level.value is None else level.value, found):
            said, true = _number(level.value), _number(found)
            how = "the number listed" if level.name in LISTED else "as everybody hangs"
            yield (), f"level {level.name} has value {said}: allowed is {true}, {how}"
    if any(level.name == "room" for level in case.plan.proof):
        yield from Room(case, measured.decided).faults()


def neighbours_are_counted(case: Case) -> Findings:
    """The numbers under ``neighbours``, where there are some, are those of the plan."""
    measured = Measured(case)
    for name, said in case.plan.neighbours.items():
        if name not in NEIGHBOURS:
            yield (), f"neighbours: {name} is not known: allowed are {', '.join(NEIGHBOURS)}"
        elif not _agree(name, said, found := VALUES[name](measured)):
            yield (
                (),
                f"neighbours: {name} is {_number(said)}: allowed is {_number(found)}, as everybody hangs",
            )


def bounds_are_sane(case: Case) -> Findings:
    """A bound is at least as good as the value, and a level is called proved exactly when the two are equal.

    A bound says that nothing better exists. So a value better than it is contradictory, and one equal to it
    is proved to be the best. Whether the bound itself is true only a solver can show.
    """
    for level in case.plan.proof:
        value, bound = _number(level.value), _number(level.bound)
        if not _in_order(level):
            side = "or more" if level.name in MAXIMISED else "or less"
            what = f"level {level.name} has value {value} with bound {bound}"
            yield (), f"{what}: allowed is {value} {side}"
        if level.proved and level.value != level.bound:
            what = f"level {level.name} is called proved at {value} with bound {bound}"
            yield (), f"{what}: allowed is the same"
        elif not level.proved and level.value == level.bound:
            what = f"level {level.name} is not called proved at {value} with bound {bound}"
            yield (), f"{what}: allowed is proved, as they meet"


def _in_order(level: Level) -> bool:
    """Whether the bound of a level is at least as good as its value.

    None stands for an infinite number, which only the level ``smallest_gap`` may have.
    """
    if level.name in MAXIMISED:
        value, bound = (math.inf if x is None else x for x in (level.value, level.bound))
        return value <= bound
    return level.value is not None and level.bound is not None and level.bound <= level.value


def _agree(name: str, said: float, found: float) -> bool:
    """Whether two values of a level are equal, but for the rounding of values in a plan."""
    if math.isinf(said) or math.isinf(found):
        return said == found
    return abs(said - found) <= AGREE.get(name, 1e-9)


def _number(number: float | None) -> str:
    return "none" if number is None or not math.isfinite(number) else f"{round(number, 6):.10g}"
