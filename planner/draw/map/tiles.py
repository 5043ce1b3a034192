"""Where a board larger than the sheet is cut."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.board import INDENT, BoardPanel, draw_board
from planner.draw.map.parts import Part, span
from planner.draw.map.places import NAME_HEIGHT, ROW
from planner.draw.map.scale import Scale, cuts
from planner.season.places import Board

BESIDE = 4.0  # mm kept free at the right of a board


def board_parts(
    picture: PlacePicture, sheet: Sheet, scale: Scale, room: float, page: float | None
) -> Iterator[Part]:
    """The tiles of a board."""
    board, form = picture.place, scale.form_for(picture)
    assert isinstance(board, Board)
    if is_whole(picture, scale, room, page):
        panel = _whole(picture, board, scale)
        yield Part("", panel.height, partial(draw_board, panel))
        return
    for across, up in _tiles(board, picture, scale, room, page and page - form.height):
        tile = BoardPanel(picture, board, across, up, scale, form)
        where = f"{span(sheet, *across)} from the left, {span(sheet, *up)} above its lower edge"
        yield Part(where, tile.height, partial(draw_board, tile))


def is_whole(picture: PlacePicture, scale: Scale, room: float, page: float | None) -> bool:
    """Whether a place is not cut at this scale: a board with its name fits the sheet. Lines go on in rows."""
    board = picture.place
    if not isinstance(board, Board):
        return True
    panel = _whole(picture, board, scale)
    fits = scale.mm(board.width) <= room - INDENT - BESIDE
    return fits and (page is None or NAME_HEIGHT + ROW + panel.height <= page)


def _whole(picture: PlacePicture, board: Board, scale: Scale) -> BoardPanel:
    across, up = (0.0, board.width), (0.0, board.height)
    return BoardPanel(picture, board, across, up, scale, scale.form_for(picture))


def _tiles(
    board: Board, picture: PlacePicture, scale: Scale, room: float, deep: float | None
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Parts of a board, row after row from the top; ``deep``: mm a part may have from its upper edge."""
    step = board.pitch
    wide = (room - INDENT - BESIDE) * scale.n / 10
    high = board.height if deep is None else (deep - 16.0) * scale.n / 10
    columns = cuts(board.width, max(wide, step), [m.x for m in picture.marks], step / 4)
    rows = cuts(board.height, max(high, step), [m.y for m in picture.marks], step / 2)
    for up in reversed(rows):
        for across in columns:
            yield across, up
