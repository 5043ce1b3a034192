"""Finding room for a label among what is already drawn."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from math import hypot

import numpy as np

Box = tuple[float, float, float, float]
"""Left, bottom, right, top in mm."""

_FAR = 999.0  # mm, beyond any sheet
_REACH = 20.0  # mm
_AROUND = sorted(
    (d for d in product(range(-int(_REACH), int(_REACH) + 1), repeat=2) if hypot(*d) <= _REACH),
    key=lambda d: hypot(*d),
)
_DX, _DY = np.array(_AROUND, dtype=float).T
_OFF = np.array([hypot(*d) for d in _AROUND])


def middle(box: Box) -> tuple[float, float]:
    """Centre of a box."""
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def around(x: float, y: float, wide: float, high: float) -> Box:
    """Give the box of a size round a point."""
    return x - wide / 2, y - high / 2, x + wide / 2, y + high / 2


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes have an area in common."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def outside(box: Box) -> list[Box]:
    """All of a sheet beyond a box, in four boxes."""
    left, bottom, right, top = box
    return [(-_FAR, -_FAR, left, _FAR), (right, -_FAR, _FAR, _FAR),
            (-_FAR, top, _FAR, _FAR), (-_FAR, -_FAR, _FAR, bottom)]  # fmt: skip


def room_near(
    x: float, y: float, size: tuple[float, float], taken: Iterable[Box], within: float = 20.0
) -> Box | None:
    """Find the free box of a size nearest to a point; None when there is none ``within`` mm (20 at most)."""
    wide, high = size
    reached = around(x, y, wide + 2 * within, high + 2 * within)
    near = np.array([t for t in taken if overlap(t, reached)]).reshape(-1, 4)
    tried = int(np.searchsorted(_OFF, within, side="right"))
    xs, ys = x + _DX[:tried], y + _DY[:tried]
    left, low, right, top = near.T[:, :, np.newaxis]
    hit = (xs - wide / 2 < right) & (left < xs + wide / 2) & (ys - high / 2 < top) & (low < ys + high / 2)
    free = np.flatnonzero(~hit.any(axis=0))
    return around(float(xs[free[0]]), float(ys[free[0]]), wide, high) if free.size else None
