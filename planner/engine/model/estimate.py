"""The size of a model before it is made, and what the time and the memory allow."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import suppress

from planner.engine.model import budget
from planner.engine.model.due_classes import DueClasses, due_classes
from planner.engine.model.instance import Instance

_UNKNOWN_MEMORY = 4 * 2**30  # bytes, where the system does not say how much it has


def terms_at(inst: Instance, gap: float) -> float:
    """At most how many terms the model by class has at ``gap`` days, with its clashes counted.

    A term is a Boolean, or a literal in a constraint. Counting needs the most: a run of clashing classes at
    both ends of each pair of neighbours, and again in each clique, where a crowd takes further rows.
    """
    classes = due_classes(inst, gap, merge=False)
    ends = 2 * inst.graph.number_of_edges()
    found = _terms(inst, len(classes), sum(map(len, classes.runs)), ends, len(classes.runs))
    return found + min(budget.CROWDED_TERMS, found * max(0, max(map(len, inst.cover), default=0) - 2))


def terms_of(inst: Instance, classes: DueClasses) -> float:
    """At most how many terms the model by these classes has, without a clash."""
    return _terms(inst, len(classes), sum(map(len, classes.runs)))


def terms_at_any_gap(inst: Instance, classes: int) -> float:
    """At most how many terms the model by class has at any gap, of so many classes, without a clash.

    Of C classes in runs of w there are C - w + 1 runs, so at most about C² / 4 members of runs.
    """
    return _terms(inst, classes, (classes + 1) ** 2 / 4)


def _terms(inst: Instance, classes: int, in_runs: float, ends: int = 0, runs: int = 0) -> float:
    sides = sum(map(len, inst.cover))
    booleans = 2 * len(inst.open_nodes) * classes + ends / 2  # each is counted for its class, too
    once = len(inst.open_nodes) * classes  # and at its node
    return booleans + once + (sides + ends) * in_runs + (1.5 * ends + sides) * runs


def affordable_terms(seconds: float, most: float | None = None) -> float:
    """The most terms of a model that is still made in a search of so many seconds; ``most``: bytes."""
    return min(budget.TERMS_EACH_SECOND * seconds, memory(most) / budget.BYTES_EACH_TERM)


def construction_seconds(nodes: int, classes: int) -> float:
    """About how long the construction of a start takes, in seconds of one core."""
    return nodes * (budget.CONSTRUCTED_NODE + budget.CONSTRUCTED_CLASS * classes)


def memory(most: float | None = None) -> float:
    """Bytes that a search may take: ``most``, else a share of what the machine or the process may have."""
    if most is not None:
        return most
    have: list[float] = []
    if sys.platform != "win32":  # which says neither
        import resource

        with suppress(ValueError, OSError):
            have.append(os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE"))
        most, _ = resource.getrlimit(resource.RLIMIT_AS)
        if most != resource.RLIM_INFINITY:
            have.append(most)
    return budget.MEMORY_SHARE * min(have, default=_UNKNOWN_MEMORY)


def most_classes(inst: Instance, terms: float, at_least: Sequence[int] = (2,)) -> int:
    """The most classes of which a model at any gap has no more than so many terms; 0 for fewer than 2."""
    classes = min(at_least)
    if terms_at_any_gap(inst, classes) > terms:
        return 0
    while terms_at_any_gap(inst, 2 * classes) <= terms:
        classes *= 2
    step = classes
    while step > 1:
        step //= 2
        if terms_at_any_gap(inst, classes + step) <= terms:
            classes += step
    return classes
