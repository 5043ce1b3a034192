"""Rules on the pairs that a plan lists as clashing, or as too close for now: none is left out or invented."""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner.season.plan.plan_record import TooClose
from planner.verify.case import Case, Findings

AGREE = 1e-3  # days or cm by which a listed gap or distance may differ, as it is rounded in the plan


def clashes_told(case: Case) -> Findings:
    """Each clashing pair is listed, under ``clashes`` or, where that is allowed, under ``waiting``.

    The keeper must watch these pairs. A pair may be listed under ``waiting`` only while one of the two is
    soft or deferred and neither is moved: it is then parted later, when that one is moved.
    """
    clashing, waiting = ({_key(pair) for pair in pairs} for pairs in (case.plan.clashes, case.plan.waiting))
    for key, pair in case.clashes.items():
        may_wait = _may_wait(pair, case)
        if key not in clashing and not (may_wait and key in waiting):
            near = (
                "on one lid, not measured,"
                if pair.distance is None
                else f"{case.season.length(pair.distance)} apart"
            )
            where = "clashes or waiting" if may_wait else "clashes"
            yield (
                (pair.a, pair.b),
                f"{_names(pair, case)} hang {near}{'' if case.of_undated(pair) else _between(pair)}: "
                f"allowed is {_allowed(pair, case)}, or to list them under {where}",
            )


def nothing_invented(case: Case) -> Findings:
    """Each listed pair really clashes, is listed once, and has its true gap (days) and distance (cm).

    False entries would distract the keeper from the real ones.
    """
    seen: set[frozenset[str]] = set()
    for where, pairs in (("clashes", case.plan.clashes), ("waiting", case.plan.waiting)):
        for pair in pairs:
            for fault in _listing_faults(pair, where, case):
                yield (pair.a, pair.b), f"{_names(pair, case)} are listed under {where}{fault}"
            if _key(pair) in seen:
                yield (pair.a, pair.b), f"{_names(pair, case)} are listed more than once: allowed is once"
            seen.add(_key(pair))


def _listing_faults(pair: TooClose, where: str, case: Case) -> Iterator[str]:
    """What is wrong with one entry of ``clashes`` or ``waiting``: sentences to follow its names."""
    true = case.clashes.get(_key(pair))
    if true is None:
        yield f": allowed are only neighbours that do not have {case.wanted} between them"
        return
    if where == "waiting" and not _may_wait(true, case):
        yield ": allowed is that only while one of them is soft, or waits, and neither is moved"
    if abs(pair.gap - true.gap) > AGREE:
        yield f" with {_days(pair.gap, exact=True)} between them: allowed is {_days(true.gap, exact=True)}"
    told, found = pair.distance, true.distance
    if (told is None) != (found is None) or abs((told or 0) - (found or 0)) > AGREE:
        apart, allowed = (
            "no distance" if length is None else case.season.length(length) for length in (told, found)
        )
        yield f" with {apart} between them: allowed is {allowed}"


def _may_wait(pair: TooClose, case: Case) -> bool:
    """Whether a pair is pending: one of the two is soft or deferred, and neither is moved now."""
    both = pair.a, pair.b
    return any(case.moved_later(pupa) for pupa in both) and all(case.stays[pupa] for pupa in both)


def _key(pair: TooClose) -> frozenset[str]:
    """The two ids of a pair, in no order."""
    return frozenset((pair.a, pair.b))


def _names(pair: TooClose, case: Case) -> str:
    return f"{case.with_due(pair.a)} and {case.with_due(pair.b)}"


def _between(pair: TooClose) -> str:
    return f" with {_days(pair.gap)} between them"


def _allowed(pair: TooClose, case: Case) -> str:
    return "nobody beside one that may be due on any day" if case.of_undated(pair) else case.wanted


def _days(number: float, *, exact: bool = False) -> str:
    """A number of days in words, with at most two decimals unless ``exact``.

    It is rounded down, so that a gap just short of two days is not told as two.
    """
    number = number if exact else math.floor(number * 100 + 1e-6) / 100
    return f"{number:g} day" if number == 1 else f"{number:g} days"
