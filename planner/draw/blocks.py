"""A map as a column of blocks, from the title to the last word, and how blocks fill pages."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from matplotlib.axes import Axes

from planner.draw.board import INDENT as BOARD_INDENT
from planner.draw.board import BoardPanel, draw_board
from planner.draw.data import PlacePicture, Sheet
from planner.draw.foot import ROW_HEIGHT, draw_foot_row, foot_rows
from planner.draw.heading import SIGNS_HEIGHT, TITLE_HEIGHT, days_height, draw_days, draw_signs, draw_title
from planner.draw.label import Colours
from planner.draw.lid import LidPanel, draw_lid, lid_scale, lid_sizes
from planner.draw.line import INDENT, LinePanel, draw_line
from planner.draw.places import describe, draw_name, draw_part, shortened
from planner.draw.scale import Scale, closest, cuts
from planner.draw.words import count
from planner.season.places import Board, Lid, Line

Draw = Callable[[Axes, float, float], Axes]


@dataclass(frozen=True)
class Block:
    """Something ``height`` mm high that draws itself with its upper left corner at (left, top).

    Blocks of one ``group`` are not begun in the lower half of a page that cannot hold them all when the next
    can; ``glued``: never last on a page.
    """

    group: str
    height: float
    draw: Draw
    glued: bool = False


def blocks(sheet: Sheet, scale: Scale, room: float, page: float | None) -> Iterator[Block]:
    """All blocks of a map, top to bottom. ``room``: width, mm; ``page``: height of a page, None: endless."""
    yield Block("head", TITLE_HEIGHT, partial(draw_title, sheet, scale, room))
    if sheet.hung:
        yield Block("head", SIGNS_HEIGHT, partial(draw_signs, sheet))
        yield Block("head", days_height(sheet, room), partial(draw_days, sheet, scale, room))
    for i, picture in enumerate(sheet.pictures):
        if not isinstance(picture.place, Lid):
            words = describe(picture, sheet)
            yield Block(f"place {i}", 8.0, partial(draw_name, picture.place.name, words, room), glued=True)
            yield from _parts(f"place {i}", picture, sheet, scale, room, page)
    yield from _lids(sheet, room)
    for i, row in enumerate(foot_rows(sheet, shortened(sheet, room), room)):
        yield Block(f"foot {i}", ROW_HEIGHT, partial(draw_foot_row, row), glued=row.head)


def _parts(
    group: str, picture: PlacePicture, sheet: Sheet, scale: Scale, room: float, page: float | None
) -> Iterator[Block]:
    """Cut a place into parts that fit the sheet; when there are several, each says which it is."""
    form = scale.form_for(picture)
    parts: list[tuple[str, float, Draw]] = []
    match picture.place:
        case Line() as line:
            for low, high in _stretches(line, picture, scale, room):
                panel = LinePanel(picture, line, low, high, scale, form, sheet, room)
                parts.append((_span(sheet, low, high), panel.height, partial(draw_line, panel)))
        case Board() as board:
            for across, up in _tiles(board, picture, scale, room, page and page - form.height):
                tile = BoardPanel(picture, board, across, up, scale, form)
                where = f"{_span(sheet, *across)} from the left, {_span(sheet, *up)} above its lower edge"
                parts.append((where, tile.height, partial(draw_board, tile)))
    for where, height, draw in parts:
        if len(parts) > 1:
            yield Block(group, 4.5, partial(draw_part, picture.place.name, where, room), glued=True)
        yield Block(group, height, draw)


def _span(sheet: Sheet, low: float, high: float) -> str:
    return f"{sheet.length(low)} to {sheet.length(high)} {sheet.units}"


def _stretches(line: Line, picture: PlacePicture, scale: Scale, room: float) -> list[tuple[float, float]]:
    step = closest(picture)
    at = [m.x for m in picture.marks] if line.clips_every else [h.x for h in picture.hung if h.x is not None]
    capacity = (room - 2 * INDENT) * scale.n / 10 - step
    return cuts(line.length, max(capacity, step), at, step / 2)


def _tiles(
    board: Board, picture: PlacePicture, scale: Scale, room: float, deep: float | None
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Parts of a board, row after row from the top; ``deep``: mm a part may have from its upper edge."""
    step = closest(picture)
    wide = (room - BOARD_INDENT - 4) * scale.n / 10
    high = board.height if deep is None else (deep - 16.0) * scale.n / 10
    columns = cuts(board.width, max(wide, step), [m.x for m in picture.marks], step / 4)
    rows = cuts(board.height, max(high, step), [m.y for m in picture.marks], step / 2)
    for up in reversed(rows):
        for across in columns:
            yield across, up


def _lids(sheet: Sheet, room: float) -> Iterator[Block]:
    """Lids two by two, small; those that everybody leaves are only named."""
    lids = [(p, p.place) for p in sheet.pictures if isinstance(p.place, Lid)]
    if not lids:
        return
    colours = Colours.of(sheet.hung)
    sizes = lid_sizes([p for p, _ in lids])
    n = lid_scale([lid for p, lid in lids if p.hung], sizes)
    panels = [LidPanel(p, lid, n, colours, sizes.panel) for p, lid in lids if p.hung]
    words = f"seen from above, 1 : {n:g}, those who stay on them" if panels else "nobody stays on them"
    yield Block("lids", 8.0, partial(draw_name, "Lids", words, room), glued=bool(panels))
    for i in range(0, len(panels), sizes.in_row):
        row = panels[i : i + sizes.in_row]
        yield Block(f"lids {i}", 7.0 + max(p.height for p in row), partial(_draw_lids, row))
    empty = ", ".join(lid.name for p, lid in lids if not p.hung)
    if empty and panels:
        yield Block("lids left", 6.0, partial(draw_part, "Nobody stays on", empty, room))


def _draw_lids(panels: Sequence[LidPanel], ax: Axes, left: float, top: float) -> Axes:
    for i, panel in enumerate(panels):
        x = left + i * (panel.wide + 5)
        words = count(len(panel.picture.hung), "stays", "stay")
        if panel.lid.clear:
            words += ", to be cleared"
        draw_name(panel.lid.name, words, panel.wide, ax, x, top + 1.5)
        draw_lid(panel, ax, x, top - 7.0)
    return ax


def fill(column: Sequence[Block], page: float | None) -> list[list[tuple[Block, float]]]:
    """Put blocks on pages; each with the distance of its upper edge from the page's, mm."""
    pages: list[list[tuple[Block, float]]] = [[]]
    totals = {key: sum(b.height for b in group) for key, group in groupby(column, key=lambda b: b.group)}
    y = 0.0
    for i, block in enumerate(column):
        if page is not None and pages[-1]:
            starts = column[i - 1].group != block.group
            whole = starts and page / 2 < y and totals[block.group] <= page
            if y + max(totals[block.group] if whole else 0.0, _with_glued(column[i:])) > page:
                pages.append([])
                y = 0.0
        pages[-1].append((block, y))
        y += block.height
    return pages


def _with_glued(rest: Sequence[Block]) -> float:
    """Height of the first block and all that must follow it on its page."""
    height = 0.0
    for block in rest:
        height += block.height
        if not block.glued:
            break
    return height
