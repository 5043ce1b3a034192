"""A board as a strip: its pins as they are, tags below them."""

from __future__ import annotations

from collections.abc import Sequence

from planner.report.page.tags import (
    BESIDE,
    LEAST_SCALE,
    PAD,
    TAG_HEIGHT,
    THREAD,
    TOP,
    At,
    Strip,
    Tag,
    View,
    card_bars,
    free_spots,
)
from planner.season.places import Board

INDENT = 30  # left of a board, for the names of its rows
LARGEST = 20.0  # px per cm up to which a board is drawn so large that no tag covers a pin
MANY = 400
ROOM = 36.0  # from one pin to the next, from which its number stands beside it


def board_strip(view: View) -> Strip:
    """A board: pins as they are, tags below them."""
    board, here, width = view.place, view.here, view.tag_width
    assert isinstance(board, Board)
    scale = _board_scale(board, here, width)
    side = INDENT + width / 2

    def px(x: float | None, y: float | None) -> tuple[float, float]:
        return side + (x or 0.0) * scale, TOP + (board.height - (y or 0.0)) * scale

    tags = [Tag(a.one, a.after, *px(a.x, a.y)) for a in here]
    taken = {a.spot for a in here}
    free = [s for s in view.marks if s.tag not in taken]
    rows: dict[str, float] = {}
    for s in view.marks:
        rows.setdefault(s.tag.split("p")[0], px(s.x, s.y)[1] + 4)
    numbered = board.pins_every * scale >= ROOM
    pins = [(*px(a.x, a.y), "p" + a.spot.split("p")[-1]) for a in here if numbered]
    right, low = side + board.width * scale, TOP + board.height * scale
    lowest = max([low, *(t.y + t.ty + TAG_HEIGHT for t in tags)])
    return Strip(
        board,
        view.words,
        round(right + width / 2 + PAD, 1),
        round(lowest + PAD, 1),
        (side, TOP, right, low),
        tuple(tags),
        free_spots(view.page, free, lambda s: px(s.x, s.y)),
        (*((2.0, y, name) for name, y in rows.items()), *((x + 11, y + 3, n) for x, y, n in pins)),
        cards=card_bars(view, px),
    )


def _board_scale(board: Board, here: Sequence[At], width: float) -> float:
    """As small as keeps tags clear of each other and, where pins are not too close for that, of all pins."""
    wide, high = width + BESIDE, TAG_HEIGHT + THREAD + 10
    whole = max(wide, high) / board.pins_every
    if whole <= LARGEST or len(here) > MANY:
        return max(LEAST_SCALE, whole if here else 0)
    need = LEAST_SCALE
    for i, a in enumerate(here):
        for b in here[:i]:
            dx, dy = abs((a.x or 0) - (b.x or 0)), abs((a.y or 0) - (b.y or 0))
            need = max(need, min(wide / dx if dx > 0.01 else 1e9, high / dy if dy > 0.01 else 1e9))
    return min(need, 1e3)
