"""The nodes with a neighbour too close, for local searches that pick one of them at each step."""

from __future__ import annotations

from collections.abc import Sequence


class TightNodes:
    """Nodes as numbers: how many neighbours are too close to each, and in any order those with some.

    Parameters
    ----------
    bad
        Of each node, how many neighbours are too close; changed by the search, which then calls `sort_in`.
    free
        Which nodes may ever be picked.
    """

    def __init__(self, bad: list[int], free: Sequence[bool]):
        self.bad, self.free = bad, free
        self.tight: list[int] = []
        self.place = [-1] * len(bad)  # of a node in ``tight``
        for k in range(len(bad)):
            self.sort_in(k)

    def sort_in(self, k: int) -> None:
        """Put a node into ``tight`` or take it out, as its count asks."""
        at, tight = self.place[k], self.tight
        if self.bad[k] and at < 0 and self.free[k]:
            self.place[k] = len(tight)
            tight.append(k)
        elif not self.bad[k] and at >= 0:
            last = tight.pop()
            if last != k:
                tight[at], self.place[last] = last, at
            self.place[k] = -1
