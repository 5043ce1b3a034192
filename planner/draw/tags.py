"""Tags to print and cut out, true to the millimetre: one per pupa, to go with it to its spot."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor

from matplotlib.axes import Axes

from planner.draw.card import Tag, draw_card
from planner.draw.codes import check_code, side_of
from planner.draw.data import spot_words
from planner.draw.pen import put, stroke
from planner.draw.render import look, page, render
from planner.draw.shapes import SHAPES, Shape, draw_how, draw_shape, faces
from planner.draw.style import BODY
from planner.season.plan_record import Hang, Plan
from planner.season.season import Season

__all__ = ["PAPERS", "SHAPES", "Tag", "tag_sheet", "tags_for"]

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, upright
LEAST_CARD = (20.0, 12.0)  # mm; less cannot be read
MARGINS = (10.0, 40.0)
GAPS = (0.0, 20.0)
CONTROL = 50.0  # mm, the bar that shows whether the printer kept the size
CLEAR = 0.7  # mm between a cut mark and a card
MARK = 4.0  # mm, the longest cut mark


@dataclass(frozen=True)
class Grid:
    """How pieces lie on a sheet, mm; the first at the upper left, in the middle of the sheet's width.

    ``card``: a whole piece, with whatever its shape adds to the face.
    """

    paper: tuple[float, float]
    card: tuple[float, float]
    margin: float
    gap: float

    @property
    def columns(self) -> int:
        """Cards beside each other."""
        return self._count(0)

    @property
    def rows(self) -> int:
        """Cards above each other."""
        return self._count(1)

    def _count(self, axis: int) -> int:
        room = self.paper[axis] - 2 * self.margin
        return floor((room + self.gap) / (self.card[axis] + self.gap) + 1e-9)

    def corner(self, index: int) -> tuple[float, float]:
        """Lower left corner of a card."""
        row, column = divmod(index, self.columns)
        wide = self.columns * (self.card[0] + self.gap) - self.gap
        left = (self.paper[0] - wide) / 2 + column * (self.card[0] + self.gap)
        return left, self.paper[1] - self.margin - self.card[1] - row * (self.card[1] + self.gap)


@look()
def tag_sheet(
    tags: Sequence[Tag],
    paper: str = "A4",
    card: tuple[float, float] = (40.0, 25.0),
    margin: float = 12.0,
    gap: float = 4.0,
    *,
    shape: str = "card",
    code: bool = False,
    start: int = 1,
) -> bytes:
    """Make a PDF of tags with cut marks, to be printed at 100 %.

    Parameters
    ----------
    tags
        In the order they are to be cut.
    paper
        ``A4`` or ``Letter``, upright.
    card, margin, gap
        Width and height of a card, what is left free round all cards, and between two of them; mm.
    shape
        One of `SHAPES`; ``card`` is then the size of its face.
    code
        With a QR code of the pupa's id on each face.
    start
        The first place used on the first sheet, from 1, row by row: for a sheet some tags were cut from.

    Raises
    ------
    ValueError
        When there is no tag, or a size is not possible; the message says what is.
    """
    form = _shape(shape)
    grid = Grid(_paper(paper), form.piece(card), margin, gap)
    _check(grid, paper, form, card)
    if not tags:
        raise ValueError("there is no pupa to make a tag for")
    per_page = grid.columns * grid.rows
    if not 1 <= start <= per_page:
        raise ValueError(f"place {start} of a sheet: it has 1 to {per_page}")
    if code:
        for tag in tags:
            check_code(tag.id, side_of(card))
    places = [divmod(start - 1 + i, per_page) for i in range(len(tags))]
    pages = places[-1][0] + 1
    figures = []
    for number in range(pages):
        figure, ax = page(*grid.paper)
        here = [(tag, k) for tag, (sheet, k) in zip(tags, places, strict=True) if sheet == number]
        for tag, k in here:
            left, bottom = grid.corner(k)
            draw_shape(form, card, ax, left, bottom)
            for face in faces(form, card, left, bottom):
                draw_card(tag, card, ax, face, code=code)
        draw_cut_marks(grid, here[0][1], here[-1][1], ax)
        following = here[-1][1] + 2
        draw_margin(grid, number + 1, pages, following if following <= per_page else None, ax)
        draw_how(form, ax, grid.paper[0] - grid.margin, grid.paper[1] - 6.0)
        figures.append(figure)
    return render(figures, "pdf")


def _shape(name: str) -> Shape:
    if name not in SHAPES:
        raise ValueError(f"'{name}' is no shape known here: {', '.join(SHAPES)}")
    return SHAPES[name]


def _paper(paper: str) -> tuple[float, float]:
    if paper not in PAPERS:
        raise ValueError(f"'{paper}' is no paper size known here: {' or '.join(PAPERS)}")
    return PAPERS[paper]


def _check(grid: Grid, paper: str, shape: Shape, card: tuple[float, float]) -> None:
    for name, value, (least, most) in (("margin", grid.margin, MARGINS), ("gap", grid.gap, GAPS)):
        if not least <= value <= most:
            raise ValueError(f"{name} {value:g} mm: {least:g} to {most:g} mm are possible")
    largest = shape.largest_face((grid.paper[0] - 2 * grid.margin, grid.paper[1] - 2 * grid.margin))
    if not all(low <= side <= high for low, side, high in zip(LEAST_CARD, card, largest, strict=True)):
        words = "" if shape.name == "card" else f" as {shape.name}"
        raise ValueError(
            f"a card of {card[0]:g} × {card[1]:g} mm{words}: {LEAST_CARD[0]:g} × {LEAST_CARD[1]:g} mm to "
            f"{largest[0]:g} × {largest[1]:g} mm are possible on {paper} with a margin of {grid.margin:g} mm"
        )


def draw_cut_marks(grid: Grid, first: int, last: int, ax: Axes) -> Axes:
    """Draw short thin lines in line with every edge of the first to the last piece, never on a piece."""
    rows = range(first // grid.columns, last // grid.columns + 1)
    used = range(first, last + 1) if len(rows) == 1 else range(grid.columns)
    lefts = [grid.corner(c % grid.columns)[0] for c in used]
    bottoms = [grid.corner(r * grid.columns)[1] for r in reversed(rows)]
    wide, high = grid.card
    for x in sorted({e for left in lefts for e in (left, left + wide)}):
        for span in _gutters(bottoms, high, grid.gap):
            stroke(ax, (x, x), span, weight=0.3, gid="cut")
    for y in sorted({e for bottom in bottoms for e in (bottom, bottom + high)}):
        for span in _gutters(lefts, wide, grid.gap):
            stroke(ax, span, (y, y), weight=0.3, gid="cut")
    return ax


def _gutters(starts: Sequence[float], side: float, gap: float) -> Iterator[tuple[float, float]]:
    """Give the stretches before, between and after cards along one axis that marks may take."""
    yield starts[0] - CLEAR - MARK, starts[0] - CLEAR
    if gap > 2 * CLEAR:
        for before, after in pairwise(starts):
            yield before + side + CLEAR, after - CLEAR
    yield starts[-1] + side + CLEAR, starts[-1] + side + CLEAR + MARK


def draw_margin(grid: Grid, number: int, pages: int, free: int | None, ax: Axes) -> Axes:
    """Draw the control bar, the first place left ``free`` and the page's number in the lower margin."""
    x, y = grid.margin, min(grid.margin / 2, 7.0)
    stroke(ax, (x, x + CONTROL), (y, y), weight=1.0, solid_capstyle="butt", gid="control")
    for end in (x, x + CONTROL):
        stroke(ax, (end, end), (y - 1.0, y + 1.0), weight=0.5)
    put(ax, x + CONTROL + 3, y - 1.0, "50 mm: measure me; print at 100 %", BODY)
    words = f"page {number} of {pages}"
    if free is not None:
        words = f"next free place: {free}   ·   {words}"
    put(ax, grid.paper[0] - grid.margin, y - 1.0, words, BODY, ha="right")
    return ax


def tags_for(season: Season, plan: Plan, ids: Collection[str] | None = None) -> list[Tag]:
    """Make the tags of all, or of chosen pupae: first in the order of the move list, then by place and spot.

    Raises
    ------
    ValueError
        When an id chosen is not in the plan, or its pupa is gone.
    """
    hangs = {h.pupa: h for h in plan.hangs if h.pupa in season.pupa and season.pupa[h.pupa].present}
    missing = sorted(set(ids or ()) - set(hangs))
    if missing:
        raise ValueError(f"not in the plan, or gone: {', '.join(missing)}")
    chosen = [h for h in hangs.values() if ids is None or h.pupa in ids]
    step = {m.pupa: m.step for m in reversed(plan.moves)}
    order = {p.name: i for i, p in enumerate(season.places)}

    def place_order(h: Hang) -> tuple[float, int, float, float, str]:
        return step.get(h.pupa, float("inf")), order[h.place], -(h.y or 0.0), h.x or 0.0, h.pupa

    return [_tag(season, h) for h in sorted(chosen, key=place_order)]


def _tag(season: Season, h: Hang) -> Tag:
    pupa, place = season.pupa[h.pupa], season.place[h.place]
    return Tag(
        id=pupa.id,
        word=pupa.species,
        pupated=pupa.pupated.day if pupa.pupated else None,
        due=h.due,
        place=place.name,
        spot=spot_words(place, h.spot, season.units),
    )
