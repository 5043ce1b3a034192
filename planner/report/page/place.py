"""Where a lid's tags go: beside their spots, as near as possible, none on another tag, spot or thread."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom
MARK = 9.0  # half a spot's sign, px
APART = 3.0
KNOT = 6.0  # from one point of a thread that is looked at to the next
_STEPS, _STEP = 16, 13.0  # directions, and px from one ring to the next


def free_place(at: Sequence[Point], size: Point, within: Box, tied: float) -> list[Point] | None:
    """For each spot the way from it to the middle of its tag's upper edge, or None where one finds no place.

    ``size``: of a tag; ``within``: where all must be, open downwards where ``tied``, the longest way, allows
    more than the box is high. Where that is infinite each finds one, for then threads may cross.
    """
    taken = _Boxes(max(size))
    for x, y in at:
        taken.add((x - MARK, y - MARK, x + MARK, y + MARK))
    found: dict[int, Point] = {}
    for i in sorted(range(len(at)), key=lambda i: (at[i][1], at[i][0])):
        x, y = at[i]
        for dx, dy in _ways(size, tied):
            box = (x + dx - size[0] / 2, y + dy, x + dx + size[0] / 2, y + dy + size[1])
            inside = box[0] >= within[0] and box[1] >= within[1] and box[2] <= within[2]
            if not inside or (box[3] > within[3] and tied <= within[3]) or not taken.free(box):
                continue
            thread = [] if math.isinf(tied) else list(_thread(x, y, box))
            if all(taken.free(knot) for knot in thread):
                for each in (box, *thread):
                    taken.add(each)
                found[i] = (round(dx, 1), round(dy, 1))
                break
        else:
            return None
    return [found[i] for i in range(len(at))]


def _thread(x: float, y: float, tag: Box) -> Iterator[Box]:
    """Small boxes along the thread that is seen between a spot and its tag, so that none crosses it."""
    to = ((tag[0] + tag[2]) / 2, tag[1])  # threads lead to the middle of the upper edge, behind the tag
    long = math.dist((x, y), to)
    steps = int(long / KNOT)
    for k in range(1, steps + 1):
        px, py = x + (to[0] - x) * k / steps, y + (to[1] - y) * k / steps
        clear = math.dist((x, y), (px, py)) > 1.5 * MARK + APART
        within = tag[0] - APART <= px <= tag[2] + APART and tag[1] - APART <= py <= tag[3] + APART
        if clear and not within:
            yield px - 1, py - 1, px + 1, py + 1


def _ways(size: Point, tied: float) -> Iterator[Point]:
    """Below the spot first, then around it in growing rings."""
    yield 0.0, MARK + APART
    half = math.hypot(*size) / 2
    radius = MARK + APART + size[1] / 2
    while radius - half <= tied:
        for step in range(_STEPS):
            turn = math.pi / 2 + 2 * math.pi * step / _STEPS
            yield radius * 1.15 * math.cos(turn), radius * math.sin(turn) - size[1] / 2
        radius += _STEP


class _Boxes:
    """Boxes that are taken, found again by the cells of a grid."""

    def __init__(self, cell: float) -> None:
        self.cell = cell
        self.cells: defaultdict[tuple[int, int], list[Box]] = defaultdict(list)

    def add(self, box: Box) -> None:
        """Take a box."""
        for key in self._keys(box):
            self.cells[key].append(box)

    def free(self, box: Box) -> bool:
        """Whether a box keeps clear of all that are taken."""
        a, b, c, d = box[0] - APART, box[1] - APART, box[2] + APART, box[3] + APART
        return not any(
            o[0] < c and o[2] > a and o[1] < d and o[3] > b
            for key in self._keys((a, b, c, d))
            for o in self.cells.get(key, ())
        )

    def _keys(self, box: Box) -> Iterator[tuple[int, int]]:
        left, top, right, bottom = (math.floor(v / self.cell) for v in box)
        for i in range(left, right + 1):
            for j in range(top, bottom + 1):
                yield i, j
