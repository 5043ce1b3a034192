"""Rounded dues: few classes instead of many, each gap wrong by no more than is told."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.engine.model.instance import Instance


@dataclass(frozen=True)
class Rounded:
    """An instance with rounded dues.

    Attributes
    ----------
    error
        Days; by no more the gap of any two items differs from what it is without rounding. So an arrangement
        whose rounded gaps are ``gap + error`` keeps ``gap``, and what is impossible at ``gap - error`` when
        rounded is impossible at ``gap``.
    """

    inst: Instance
    error: float


def rounded(inst: Instance, classes: int) -> Rounded:
    """The instance with at most so many different dues, as near to the true ones as can be.

    Each class is the dues within an interval, as short as can be for all of them, and due at the middle of
    what it holds: so one due far from all others does not make the rest coarse.
    """
    distinct = sorted(set(inst.dues))
    if len(distinct) <= classes:
        return Rounded(inst, 0.0)
    short, long = 0.0, distinct[-1] - distinct[0]
    for _ in range(60):
        middle = (short + long) / 2
        if len(_intervals(distinct, middle, classes)) > classes:
            short = middle
        else:
            long = middle
    firsts = _intervals(distinct, long, classes)
    ends = [*firsts[1:], len(distinct)]
    centre = {
        due: (distinct[first] + distinct[end - 1]) / 2
        for first, end in zip(firsts, ends, strict=True)
        for due in distinct[first:end]
    }
    moved = [due - centre[due] for due in distinct]
    return Rounded(replace(inst, dues=tuple(centre[due] for due in inst.dues)), max(moved) - min(moved))


def _intervals(distinct: Sequence[float], length: float, most: int) -> list[int]:
    """Where each interval of that length begins, greedily; no more than one beyond ``most``."""
    firsts = [0]
    while len(firsts) <= most:
        end = bisect_right(distinct, distinct[firsts[-1]] + length)
        if end <= firsts[-1]:
            end = firsts[-1] + 1
        if end >= len(distinct):
            break
        firsts.append(end)
    return firsts
