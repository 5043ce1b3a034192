"""Where a board larger than the sheet is cut."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.board import INDENT, BoardPanel, draw_board
from planner.draw.map.parts import Part, span
from planner.draw.map.scale import Scale, cuts
from planner.season.places import Board


def board_parts(
    picture: PlacePicture, sheet: Sheet, scale: Scale, room: float, page: float | None
) -> Iterator[Part]:
    """The tiles of a board."""
    board, form = picture.place, scale.form_for(picture)
    assert isinstance(board, Board)
    for across, up in _tiles(board, picture, scale, room, page and page - form.height):
        tile = BoardPanel(picture, board, across, up, scale, form)
        where = f"{span(sheet, *across)} from the left, {span(sheet, *up)} above its lower edge"
        yield Part(where, tile.height, partial(draw_board, tile))


def _tiles(
    board: Board, picture: PlacePicture, scale: Scale, room: float, deep: float | None
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Parts of a board, row after row from the top; ``deep``: mm a part may have from its upper edge."""
    step = board.pitch
    wide = (room - INDENT - 4) * scale.n / 10
    high = board.height if deep is None else (deep - 16.0) * scale.n / 10
    columns = cuts(board.width, max(wide, step), [m.x for m in picture.marks], step / 4)
    rows = cuts(board.height, max(high, step), [m.y for m in picture.marks], step / 2)
    for up in reversed(rows):
        for across in columns:
            yield across, up
