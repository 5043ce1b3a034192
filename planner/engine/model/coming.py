"""Items to come, for whom nodes are sought beside those of today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Coming:
    """Items to come, of one due: ``count`` nodes are wanted for them from ``since`` to ``until``.

    Days, on the scale of the dues. ``name``: whom they are, for those who read the plan. Several of one name
    are the same items, that may come at one time or another.
    """

    due: float
    since: float
    until: float
    count: int
    kind: int = 0
    name: str = ""


def first_of(coming: Sequence[Coming]) -> tuple[int, ...]:
    """Of each, the first that stands for the same items: itself where it has no name."""
    first: dict[str, int] = {}
    return tuple(first.setdefault(one.name, k) if one.name else k for k, one in enumerate(coming))
