"""Due classes: items with one due are interchangeable, as are dues that clash with just the same others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from planner.plan.instance import EPS


@dataclass(frozen=True)
class DueClasses:
    """Items grouped by due, ascending.

    Two classes clash when their dues are closer than the gap. That clash graph is a unit interval graph,
    so its maximal cliques are *runs* of consecutive classes.
    """

    dues: tuple[float, ...]  # earliest due of each class
    members: tuple[tuple[int, ...], ...]  # items of each class
    window: tuple[tuple[int, int], ...]  # first and last class each class clashes with (itself included)

    @cached_property
    def of(self) -> dict[int, int]:
        """Item → class."""
        return {i: c for c, items in enumerate(self.members) for i in items}

    @cached_property
    def runs(self) -> tuple[range, ...]:
        """Maximal runs of consecutive, mutually clashing classes."""
        return _runs(self.window)

    def runs_at(self, days: float) -> tuple[range, ...]:
        """The same for another gap; right only for classes that were not merged."""
        return _runs(_windows(self.dues, days))

    def __len__(self) -> int:
        return len(self.dues)


def due_classes(dues: Sequence[float], gap: float, *, merge: bool = True) -> DueClasses:
    """Group items by due.

    ``gap`` in days; at a gap of 0 everybody may be neighbours. ``merge``: dues that clash with each other
    and with exactly the same others become one class (twins: nothing is lost at this gap).
    """
    groups: list[tuple[float, list[int]]] = []
    for item in sorted(range(len(dues)), key=lambda i: (dues[i], i)):
        if groups and dues[item] - groups[-1][0] < EPS:
            groups[-1][1].append(item)
        else:
            groups.append((dues[item], [item]))
    merged: list[tuple[float, list[int]]] = []
    windows = _windows([due for due, _ in groups], gap)
    for (due, items), window, before in zip(groups, windows, [None, *windows], strict=False):
        if merge and window == before and window[0] < window[1]:
            merged[-1][1].extend(items)
        else:
            merged.append((due, list(items)))
    kept = [due for due, _ in merged]
    # Twins span no gap, so the windows of the representatives are those of all members.
    return DueClasses(tuple(kept), tuple(tuple(items) for _, items in merged), tuple(_windows(kept, gap)))


def _runs(windows: Sequence[tuple[int, int]]) -> tuple[range, ...]:
    found: list[range] = []
    for c, (_, last) in enumerate(windows):
        if not found or last + 1 > found[-1].stop:
            found.append(range(c, last + 1))
    return tuple(found)


def _windows(dues: Sequence[float], gap: float) -> list[tuple[int, int]]:
    """First and last index whose due is closer than ``gap``, for each of ascending ``dues``."""
    windows = []
    first = last = 0
    for c, due in enumerate(dues):
        while due - dues[first] >= gap - EPS and first < c:
            first += 1
        last = max(last, c)
        while last + 1 < len(dues) and dues[last + 1] - due < gap - EPS:
            last += 1
        windows.append((first, last))
    return windows
