"""The moves on the wall: the steps of each place, beside or below a picture of where everybody is now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.flow import Block
from planner.draw.map.label import Colours
from planner.draw.map.lid import draw_pairs
from planner.draw.map.lid_list import ListRow, draw_list, list_height, list_rows
from planner.draw.map.places import draw_name, name_height
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put
from planner.draw.paper.words import wrap
from planner.draw.sheets.lid_page import LidPage, draw_lid, scale_of
from planner.draw.sheets.rows import laid, natural_width, row_blocks
from planner.season.plan.plan_record import Move, Plan
from planner.section import Section
from planner.style import DAY_LEAST, LARGE, MM_PER_PT, SMALL
from planner.words import count

BESIDE = 7.0  # mm between a picture and what stands beside it
NARROWEST, WIDEST = 55.0, 118.0  # mm a picture may have
HEIGHTS = (55.0, 70.0, 90.0)  # mm a picture may have, the lowest that is readable where pages are to be saved
LIST_WIDE = 50.0  # mm at least, of the list beside a picture
HEAD = 4.6  # mm of the words above that list
BEFORE, AFTER = 2.0, 2.0  # mm above and below all of a place


@dataclass(frozen=True)
class Steps:
    """The steps of those that are at one place now, as rows in order; ``lid``: that place, if it is one.

    ``rows`` may name another place in a later step of one that is parked.
    """

    place: str
    moves: tuple[Move, ...]
    rows: Section
    lid: LidPage | None
    picture: PlacePicture | None
    colours: Colours | None

    @property
    def words(self) -> str:
        """What its heading says beside its name."""
        if not self.lid:
            return count(len({m.pupa for m in self.moves}), "goes", "go")
        words = f"{count(len(self.lid.goes), 'goes', 'go')}, {count(len(self.lid.stays), 'stays', 'stay')}"
        return (
            words
            + (", to be cleared" if self.lid.lid.clear else "")
            + f"   ·   from above, 1 : {self.lid.n:g}"
        )

    def stays(self, wide: float) -> list[ListRow]:
        """Who stays on the lid and is due when; who is not in its picture."""
        if not self.lid or not self.picture:
            return []
        found = list_rows(self.picture, self.colours, wide)
        loose = [m.pupa for m in self.lid.goes if m.pupa not in self.lid.marks]
        words = f"not measured, so not in the picture: {', '.join(loose)}"
        return [*found, *([ListRow("", "", "", tuple(wrap(words, SMALL, wide)), 0.0)] if loose else [])]


def steps_of(plan: Plan, rows: Section, lids: Mapping[str, LidPage], shown: Sheet) -> list[Steps]:
    """The steps by the place that each pupa is at now; ``rows``: one for each step, in order."""
    ordered = sorted(plan.moves, key=lambda m: m.step)
    now: dict[str, str] = {}
    for move in ordered:
        now.setdefault(move.pupa, move.from_place)
    pictures, colours = {p.place.name: p for p in shown.pictures}, Colours.of(shown.hung)
    found = []
    for place in dict.fromkeys(now.values()):
        here = [(m, row) for m, row in zip(ordered, rows.rows, strict=True) if now[m.pupa] == place]
        moves, lid = tuple(m for m, _ in here), lids.get(place)
        section = replace(rows, rows=tuple(row for _, row in here))
        known = lid is not None and all(m.from_place == place for m in moves)
        section = _without(section, "from", known)
        for name, empty in (("not before", "now"), ("heed", "")):
            k = section.head.index(name) if name in section.head else 0
            section = _without(section, name, all(row[k] == empty for row in section.rows))
        found.append(Steps(place, moves, section, lid, pictures.get(place), colours))
    return found


def _without(section: Section, name: str, gone: bool) -> Section:
    """A section without a column, where it says nothing."""
    if not gone or name not in section.head:
        return section
    k = section.head.index(name)
    kept = [i for i in range(len(section.head)) if i != k]
    return replace(
        section,
        head=tuple(section.head[i] for i in kept),
        rows=tuple(tuple(row[i] for i in kept) for row in section.rows),
        wide=tuple(kept.index(i) for i in section.wide if i != k),
        names=kept.index(section.names),
    )


def type_size(steps: Sequence[Steps], wide: float) -> float:
    """The largest size in which no row takes more than two lines, pt; the smallest where there is none."""
    size = LARGE
    while size > DAY_LEAST and any(
        len(cell) > 2 for one in steps for row in laid(one.rows, size, wide).rows for cell in row
    ):
        size = max(DAY_LEAST, size - 0.5)
    return size


@dataclass(frozen=True)
class Layout:
    """How generously a wall is set: the size of the day's type in pt, and the places with steps.

    ``beside``: steps stand at the right of their lid where they can; ``split``: they may go on overleaf.
    """

    size: float
    beside: bool = False
    split: bool = False


def step_blocks(one: Steps, size: float, room: float, layout: Layout) -> Iterator[Block]:
    """All of a place: its heading, its picture and its steps, in type of ``size`` pt, ``room`` mm wide."""
    group = f"steps {one.place}"
    rest = f"{group}, further" if layout.split else group
    found = _beside(one, size, room, group, layout) if layout.beside else None
    for k, block in enumerate(found or _below(one, size, room, group, layout)):
        yield replace(block, group=rest) if k and not block.glued else block
    yield Block(rest, AFTER, _draw_nothing)


def _below(one: Steps, size: float, room: float, group: str, layout: Layout) -> Iterator[Block]:
    """A picture as wide as leaves room for the list of those who stay, and the steps below it."""
    high = BEFORE + name_height(one.place, one.words, room)
    yield Block(group, high, partial(_draw_name, one, room), glued=True)
    if one.lid:
        wide = min(WIDEST, room - LIST_WIDE - BESIDE)
        heights = HEIGHTS if layout.beside else HEIGHTS[-1:]
        sized = [_sized(one, wide, high) for high in heights]
        one = next((o for o in sized if _all_marked(o)), sized[-1])
        assert one.lid
        rows = one.stays(room - one.lid.size[0] - BESIDE)
        high = max(one.lid.size[1] + 4.0, HEAD + list_height(rows)) + 3.0
        yield Block(group, high, partial(_draw_picture, one, rows), glued=True)
    yield from row_blocks(one.rows, group, size, room)


def _beside(one: Steps, size: float, room: float, group: str, layout: Layout) -> list[Block] | None:
    """A picture, as many steps at its right as it is high, and the further ones below these.

    None where the steps could not be read, or numbers on the lid find no room.
    """
    wide = min(WIDEST, max(NARROWEST, room - natural_width(one.rows, size) - BESIDE))
    across = room - wide - BESIDE
    if not one.lid or not _readable(one.rows, size, across):
        return None
    heights = HEIGHTS if layout.split else HEIGHTS[-1:]
    sized = next((o for high in heights if _all_marked(o := _sized(one, wide, high))), None)
    if not sized or not sized.lid:
        return None
    one, lid = sized, sized.lid
    rows, stays = list(row_blocks(one.rows, group, size, across)), one.stays(wide)
    head, deep = BEFORE + name_height(one.place, one.words, room), lid.size[1] + 6.0
    high = deep + (HEAD + list_height(stays) if stays else 0.0)
    first, y = [rows[0]], rows[0].height
    while len(first) < len(rows) and (len(first) < 2 or y + rows[len(first)].height <= high):
        y += rows[len(first)].height
        first.append(rows[len(first)])

    def draw(page: Page, x: float, top: float) -> Page:
        _draw_name(one, room, page, x, top)
        _draw_lid(one, page, x, top - head)
        _draw_stays(stays, page, x, top - head - deep)
        y = top - head
        for row in first:
            row.draw(page, x + wide + BESIDE, y)
            y -= row.height
        return page

    rest = [_shifted(row, wide + BESIDE) for row in rows[len(first) :]]
    return [Block(group, head + (y if rest else max(high, y)), draw), *rest]


def _shifted(block: Block, right: float) -> Block:
    """A block drawn farther to the right, with what is repeated above it."""

    def draw(page: Page, left: float, top: float) -> Page:
        return block.draw(page, left + right, top)

    return replace(block, draw=draw, again=block.again and _shifted(block.again, right))


def _sized(one: Steps, wide: float, high: float) -> Steps:
    """With its picture as large as that."""
    assert one.lid
    return replace(one, lid=replace(one.lid, n=scale_of(one.lid.lid, wide, high)))


def _all_marked(one: Steps) -> bool:
    """Whether every number and id finds room on the lid."""
    return one.lid is not None and all(room for _, _, room in one.lid.marks.values())


def _readable(rows: Section, size: float, wide: float) -> bool:
    """Whether no cell takes more than two lines, or is cut short."""
    cells = [cell for row in laid(rows, size, wide).rows for cell in row]
    return all(len(cell) <= 2 and not any("…" in line for line in cell) for cell in cells)


def _draw_picture(one: Steps, rows: Sequence[ListRow], page: Page, left: float, top: float) -> Page:
    """The lid, and at its right who stays on it."""
    assert one.lid
    _draw_lid(one, page, left, top)
    return _draw_stays(rows, page, left + one.lid.size[0] + BESIDE, top - 3.0)


def _draw_name(one: Steps, room: float, page: Page, left: float, top: float) -> Page:
    return draw_name(one.place, one.words, room, page, left, top - BEFORE)


def _draw_lid(one: Steps, page: Page, left: float, top: float) -> None:
    assert one.lid
    draw_lid(one.lid, page, left, top)
    low = top - 3.0 - one.lid.size[1]
    at = {pupa: (left + x, low + y) for pupa, ((x, y), _, _) in one.lid.marks.items()}
    draw_pairs(one.picture.pairs if one.picture else (), at, page)


def _draw_stays(rows: Sequence[ListRow], page: Page, left: float, top: float) -> Page:
    if rows:
        put(page, left, top - SMALL * MM_PER_PT, "Stay, by the day they are due:", SMALL, bold=True)
        draw_list(rows, page, left, top - HEAD)
    return page


def _draw_nothing(page: Page, _left: float, _top: float) -> Page:
    return page
