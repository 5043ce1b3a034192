"""The places of a rack as strips: each to scale in its own frame, a tag at every pupa, no tag on another.

Lengths px at 100 %, the origin in a strip's upper left corner. A tag is a small card that hangs from its spot
by a thread; where spots are close, tags hang at several levels (lines) or beside their spots (lids).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.rack import spots
from planner.rack.spots import Spot
from planner.report.page_data import PageData, Shown
from planner.report.page_place import Box, free_place
from planner.report.text import columns, length
from planner.season.places import Board, Lid, Line, Place

TAG_HEIGHT = 47
NARROWEST, WIDEST = 46, 96  # of a tag
BESIDE = 4  # between two tags
TOP = 28  # from a strip's edge down to a line, or to a lid's edge
PAD = 14
THREAD = 12  # from a spot down to its tag
INDENT = 30  # left of a board, for the names of its rows
DIGIT = 7.2  # width of a figure in a spot's name
LEAST_SCALE, MOST_SCALE = 5.0, 60.0  # px per cm
LID_SCALES = (8.0, 10.0, 12.5, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, MOST_SCALE)
TIED = 80.0  # how far a lid's tag may be from its spot


@dataclass(frozen=True)
class Tag:
    """One pupa at one spot. ``after``: it hangs there once so many of its moves are done; 0: it does now.

    ``tx``, ``ty``: the way from the spot to the middle of the tag's upper edge.
    """

    one: Shown
    after: int
    x: float
    y: float
    tx: float = 0.0
    ty: float = THREAD


@dataclass(frozen=True)
class Strip:
    """One place. ``marks``: its free spots; ``bad``: those not to be used; ``numbers``: names of spots."""

    place: Place
    words: str
    width: float
    height: float
    frame: Box  # of a line: from end to end, without height
    tags: tuple[Tag, ...]
    marks: tuple[tuple[float, float], ...] = ()
    bad: tuple[tuple[float, float], ...] = ()
    numbers: tuple[tuple[float, float, str], ...] = ()
    counted: bool = True  # whether its free spots can be counted: not where clips slide
    unmeasured: bool = False  # whether the lowest row is of pupae whose point on the lid is not known


@dataclass(frozen=True)
class Rack:
    """All strips, and the places that need none: lids on which nobody is."""

    strips: tuple[Strip, ...]
    empty: tuple[str, ...]
    tag_width: float


@dataclass(frozen=True)
class _At:
    """A pupa at a point of a place's own frame, cm; None: not measured."""

    one: Shown
    after: int
    x: float | None
    y: float | None
    spot: str


def rack(page: PageData) -> Rack:
    """Lay everything out."""
    marks = spots(page.season)
    here = _by_place(page, marks)
    width = _tag_width(page.shown)
    drawn: list[Strip] = []
    lines = [p for p in page.season.places if isinstance(p, Line)]
    scale = max((_line_scale(p, here[p.name], width) for p in lines), default=LEAST_SCALE)
    for place in page.season.places:
        if isinstance(place, Line):
            drawn.append(_line(page, place, marks[place.name], here[place.name], scale, width))
        elif isinstance(place, Board):
            drawn.append(_board(page, place, marks[place.name], here[place.name], width))
        elif isinstance(place, Lid) and here[place.name]:
            drawn.append(_lid(page, place, here[place.name], width))
    empty = [p.name for p in page.season.places if isinstance(p, Lid) and not here[p.name]]
    return Rack(tuple(drawn), tuple(empty), width)


def _by_place(page: PageData, marks: dict[str, list[Spot]]) -> dict[str, list[_At]]:
    """Who is, or will be, where."""
    pin = {(s.place, s.tag): s for found in marks.values() for s in found}

    def point(name: str, spot: str) -> tuple[float | None, float | None]:
        if isinstance(page.season.place[name], Line):
            return float(spot or 0) * page.season.cm_per_unit, 0.0
        return pin[name, spot].x, pin[name, spot].y

    found: dict[str, list[_At]] = {p.name: [] for p in page.season.places}
    for one in page.shown:
        pupa = one.prospect.pupa
        on_lid = isinstance(page.season.place[pupa.place], Lid)
        x, y = (pupa.x, pupa.y) if on_lid else point(pupa.place, pupa.spot or "")
        found[pupa.place].append(_At(one, 0, x, y, pupa.spot or ""))
        for after, move in enumerate(one.moves, start=1):
            x, y = point(move.to_place, move.to_spot)
            found[move.to_place].append(_At(one, after, x, y, move.to_spot))
    return found


def _tag_width(shown: Sequence[Shown]) -> float:
    """Of all tags: as wide as the longest id and step need, within bounds; longer ids are shortened."""
    ids = (8.2 * columns(s.prospect.pupa.id) + 8 for s in shown)
    steps = (6.4 * columns(f"step {m.step}") + 4 for s in shown for m in s.moves)
    return min(WIDEST, max([NARROWEST, *ids, *steps]))


def short_id(name: str, width: float) -> str:
    """An id as a tag has room for it, its middle left out; the card names it whole."""
    if 8.2 * columns(name) + 8 <= width:
        return name
    room = int((width - 8) / 8.2) - 1
    head, tail = name, name
    while columns(head) > (room + 1) // 2:
        head = head[:-1]
    while columns(tail) > room // 2:
        tail = tail[1:]
    return f"{head}…{tail}"


def _line_scale(line: Line, here: Sequence[_At], width: float) -> float:
    at = sorted({a.x for a in here if a.x is not None})
    closest = min((b - a for a, b in pairwise(at)), default=line.length)
    number = max((columns(a.spot) for a in here), default=1) * DIGIT + BESIDE
    need = max((width + BESIDE) / 2, number) / max(closest, 0.1)
    return min(MOST_SCALE, max(LEAST_SCALE, need))


def _line(
    page: PageData, line: Line, marks: Sequence[Spot], here: Sequence[_At], scale: float, width: float
) -> Strip:
    """A line with its tags; one that would touch the last of a level hangs on the next."""
    side = width / 2 + PAD
    ends: list[float] = []  # of each level: where its last tag ends
    tags: list[Tag] = []
    for at in sorted(here, key=_across):
        x = side + (at.x or 0.0) * scale
        level = next((i for i, end in enumerate(ends) if x - width / 2 >= end + BESIDE - 0.01), len(ends))
        ends[level : level + 1] = [x + width / 2]
        tags.append(Tag(at.one, at.after, x, TOP, 0.0, THREAD + level * (TAG_HEIGHT + BESIDE)))
    taken = {round(a.x or 0.0, 3) for a in here}
    free = [s for s in marks if s.x is not None and round(s.x, 3) not in taken]
    own = {round(t.x, 1): a.spot for t, a in zip(tags, sorted(here, key=_across), strict=True)}
    others = [(side + (s.x or 0.0) * scale, s.tag) for s in free] if line.clips_every else []
    height = TOP + THREAD + max(1, len(ends)) * (TAG_HEIGHT + BESIDE) + PAD if here else TOP + PAD
    return Strip(
        line,
        _words(page, line),
        round(2 * side + line.length * scale, 1),
        height,
        (side, TOP, side + line.length * scale, TOP),
        tuple(tags),
        tuple((side + (s.x or 0.0) * scale, TOP) for s in free if not s.unusable and line.clips_every),
        tuple((side + (s.x or 0.0) * scale, TOP) for s in free if s.unusable and line.clips_every),
        tuple(_line_numbers(list(own.items()), others)),
        counted=line.clip_width is None,
    )


def _across(at: _At) -> tuple[float, int]:
    return (at.x or 0.0, at.after)


def _line_numbers(
    own: Sequence[tuple[float, str]], others: Sequence[tuple[float, str]]
) -> Iterator[tuple[float, float, str]]:
    """The names of taken spots, and of as many free ones as there is room for."""
    ends: list[tuple[float, float]] = []
    for x, text in [*own, *others]:
        half = columns(text) * DIGIT / 2 + 1
        if all(x + half < a or x - half > b for a, b in ends[-400:]):
            ends.append((x - half, x + half))
            yield x, TOP - 10, text


def _board(page: PageData, board: Board, marks: Sequence[Spot], here: Sequence[_At], width: float) -> Strip:
    """A board: pins as they are, tags below them."""
    scale = _board_scale(board, here, width)
    side = INDENT + width / 2

    def px(x: float | None, y: float | None) -> tuple[float, float]:
        return side + (x or 0.0) * scale, TOP + (board.height - (y or 0.0)) * scale

    tags = [Tag(a.one, a.after, *px(a.x, a.y)) for a in here]
    taken = {a.spot for a in here}
    free = [s for s in marks if s.tag not in taken]
    rows: dict[str, float] = {}
    for s in marks:
        rows.setdefault(s.tag.split("p")[0], px(s.x, s.y)[1] + 4)
    pins = [(*px(a.x, a.y), "p" + a.spot.split("p")[-1]) for a in here]
    right, low = side + board.width * scale, TOP + board.height * scale
    lowest = max([low, *(t.y + t.ty + TAG_HEIGHT for t in tags)])
    return Strip(
        board,
        _words(page, board),
        round(right + width / 2 + PAD, 1),
        round(lowest + PAD, 1),
        (side, TOP, right, low),
        tuple(tags),
        tuple(px(s.x, s.y) for s in free if not s.unusable),
        tuple(px(s.x, s.y) for s in free if s.unusable),
        (*((14.0, y, name) for name, y in rows.items()), *((x + 17, y + 3, n) for x, y, n in pins)),
    )


def _board_scale(board: Board, here: Sequence[_At], width: float) -> float:
    """As small as keeps tags apart from each other and from the pins below them."""
    wide, high = width + BESIDE, TAG_HEIGHT + THREAD + 10
    if len(here) > 400:
        return max(LEAST_SCALE, wide / board.pins_every, high / board.pins_every)
    need = LEAST_SCALE
    for i, a in enumerate(here):
        for b in here[:i]:
            dx, dy = abs((a.x or 0) - (b.x or 0)), abs((a.y or 0) - (b.y or 0))
            need = max(need, min(wide / dx if dx > 0.01 else 1e9, high / dy if dy > 0.01 else 1e9))
    return min(need, 1e3)


def _lid(page: PageData, lid: Lid, here: Sequence[_At], width: float) -> Strip:
    """A lid seen from above, its tags beside the spots; larger until each has found a place."""
    known = [a for a in here if a.x is not None and a.y is not None]
    unknown = [a for a in here if a.x is None or a.y is None]
    side = width / 2 + PAD
    for scale in LID_SCALES:
        right, low = side + lid.width * scale, TOP + lid.length * scale
        at = [(side + (a.x or 0.0) * scale, low - (a.y or 0.0) * scale) for a in known]
        within = (2.0, 4.0, right + side - 2, low + TAG_HEIGHT)
        found = free_place(at, (width, TAG_HEIGHT), within, TIED if scale < LID_SCALES[-1] else 1e5)
        if found is not None:
            break
    assert found is not None, "far enough away every tag has a place"
    tags = [Tag(a.one, a.after, x, y, tx, ty) for a, (x, y), (tx, ty) in zip(known, at, found, strict=True)]
    lowest = max([low, *(t.y + t.ty + TAG_HEIGHT for t in tags)]) + PAD
    in_row = max(1, int((right - PAD) // (width + BESIDE)))
    for i, a in enumerate(unknown):
        row, column = divmod(i, in_row)
        x, y = side + column * (width + BESIDE), lowest + 26 + row * (TAG_HEIGHT + BESIDE + 14)
        tags.append(Tag(a.one, a.after, x, y, 0.0, 10.0))
    rows = -(-len(unknown) // in_row)
    height = lowest + (26 + rows * (TAG_HEIGHT + BESIDE + 14) if rows else 0)
    return Strip(
        lid,
        _words(page, lid),
        round(right + side, 1),
        round(height, 1),
        (side, TOP, right, low),
        tuple(tags),
        numbers=((side, lowest + 12, "not measured, on this lid:"),) if rows else (),
        counted=False,
        unmeasured=bool(rows),
    )


def _words(page: PageData, place: Place) -> str:
    """What it is and where: ``line, 160 cm long, 165 cm above the floor``."""
    season = page.season
    match place:
        case Line():
            text = f"line, {length(season, place.length)} long, {length(season, place.height)} high"
            if place.clip_width is not None:
                text += f", clips slide, {length(season, place.clip_width)} wide"
        case Board():
            text = f"board, {length(season, place.width)} by {length(season, place.height)}"
            text += f", lower edge {length(season, place.bottom)} high"
        case Lid():
            text = f"lid from above, {length(season, place.width)} by {length(season, place.length)}"
            text += ", x,y from its lower left corner" + (", to be cleared" if place.clear else "")
        case _:
            text = place.kind
    return text
