"""Points on lids, found again by how near they are: a drawing is no better than a centimetre."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from typing import Generic, TypeVar

NEAR = 1.0  # cm: a drawing is no better than this, and two pupae are hardly closer

T = TypeVar("T")


class Points(Generic[T]):
    """What is at points of lids (cm), kept by squares as wide as NEAR."""

    def __init__(self) -> None:
        self._squares: defaultdict[tuple[str, int, int], list[tuple[float, float, T]]] = defaultdict(list)

    def add(self, lid: str, x: float, y: float, what: T) -> None:
        """Keep what is at a point."""
        self._squares[lid, math.floor(x / NEAR), math.floor(y / NEAR)].append((x, y, what))

    def near(self, lid: str, x: float, y: float) -> Iterator[tuple[float, T]]:
        """How far off (cm), and what is there: all within NEAR of a point."""
        a, b = math.floor(x / NEAR), math.floor(y / NEAR)
        for square in ((lid, a + da, b + db) for da in (-1, 0, 1) for db in (-1, 0, 1)):
            for u, v, what in self._squares.get(square, ()):
                if (apart := math.hypot(u - x, v - y)) <= NEAR:
                    yield apart, what
