"""Tags to print and cut out, true to the millimetre: of one pupa, to go with it to its spot, or more."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TypeVar

from planner.draw.data import spot_words
from planner.draw.paper.formats import paper_size
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put, stroke
from planner.draw.paper.render import look, render
from planner.draw.tags.card import SPECIES, Card, Tag, code_side, draw_card, without_species
from planner.draw.tags.card_size import lacking
from planner.draw.tags.cut_marks import draw_cut_marks
from planner.draw.tags.shape_marks import draw_how, draw_shape
from planner.draw.tags.shapes import AUTO, OF_KIND, SHAPES, Shape, faces
from planner.draw.tags.tag_layout import Grid, gap_of, of_one_shape, of_several
from planner.season.paper import LEAST_CARD, length_words, size_words
from planner.season.plan.plan_record import Hang, Plan
from planner.season.season import Season
from planner.style import BODY

C = TypeVar("C", bound=Card)
MARGINS = (10.0, 40.0)
GAPS = (0.0, 20.0)
GAP = 4.0  # mm
CONTROL = 50.0  # mm, the bar that shows whether the printer kept the size


@look()
def tag_sheet(
    tags: Sequence[Card],
    paper: str = "A4",
    card: tuple[float, float] = (40.0, 25.0),
    margin: float = 12.0,
    gap: float | None = None,
    *,
    shape: str = "card",
    code: bool = False,
    start: int = 1,
    unit: str = "mm",
) -> bytes:
    """Make a PDF of tags with cut marks, to be printed at 100 %.

    Parameters
    ----------
    tags
        In the order they are to be cut.
    paper
        ``A4`` or ``Letter``, upright.
    card, margin, gap
        Width and height of a card, what is left free round all cards, and between two of them; mm. None: 4,
        or less where two large cards then find room beside or above each other.
    shape
        One of `SHAPES`; ``card`` is then the size of its face. ``auto``: by the kind of each one's place.
    code
        With a QR code of the pupa's id on each face.
    start
        The first place used on the first sheet, from 1, row by row: for a sheet some tags were cut from. With
        several shapes a place has the size of one face, and a fold or a flag takes two.
    unit
        mm, cm or in: what sizes are told in.

    Raises
    ------
    ValueError
        When there is no tag, or a size is not possible; the message says what is. `TooSmallError` where id,
        date or spot of a tag would not be readable.
    """
    size = paper_size(paper)
    shapes = _shapes(tags, shape)
    if gap is None:
        gap = GAP if shape == AUTO else gap_of(Grid(size, SHAPES[shape].piece(card), margin, GAP))
    for form in shapes.values():
        between = gap if shape == AUTO else 0.0
        _check(Grid(size, form.piece(card), margin, gap), paper, form, card, between, unit)
    if not tags:
        raise ValueError("there is no pupa to make a tag for")
    if SPECIES in lacking(tags, card, code):
        tags = without_species(tags)
    side = (code_side(tags, card) or 0.0) if code else 0.0
    if shape == AUTO:
        sheets = of_several(in_order(tags, shape), Grid(size, card, margin, gap), shapes, start)
    else:
        form = SHAPES[shape]
        sheets = of_one_shape(tags, Grid(size, form.piece(card), margin, gap), form, start)
    pages = []
    for number, laid in enumerate(sheets, start=1):
        page = Page(*size)
        for band in laid.bands:
            for tag, (left, bottom) in band.pieces:
                draw_shape(band.shape, card, page, left, bottom)
                for face in faces(band.shape, card, left, bottom):
                    draw_card(tag, card, page, face, side=side)
            draw_cut_marks(band, gap if shape == AUTO else None, page)
        draw_margin(size, margin, number, len(sheets), laid.free, page)
        draw_how([band.shape for band in laid.bands], page, size[0] - margin, size[1] - 6.0)
        pages.append(page)
    return render(pages, "pdf")


def _shapes(tags: Sequence[Card], shape: str) -> dict[str, Shape]:
    """The shape of each kind of place there are tags for."""
    if shape != AUTO and shape not in SHAPES:
        raise ValueError(f"'{shape}' is no shape known here: {', '.join([*SHAPES, AUTO])}")
    kinds = {tag.kind for tag in tags} or set(OF_KIND)
    return {kind: OF_KIND[kind] if shape == AUTO else SHAPES[shape] for kind in OF_KIND if kind in kinds}


def in_order(tags: Sequence[C], shape: str) -> list[C]:
    """The order in which they are cut: as given, with several shapes one after another."""
    kinds = list(OF_KIND)
    return sorted(tags, key=lambda tag: kinds.index(tag.kind)) if shape == AUTO else list(tags)


def _check(
    grid: Grid, paper: str, shape: Shape, card: tuple[float, float], between: float, unit: str
) -> None:
    """Refuse what does not fit; ``between``: mm left free beside each of a piece's faces."""
    for name, value, (least, most) in (("margin", grid.margin, MARGINS), ("gap", grid.gap, GAPS)):
        if not least <= value <= most:
            raise ValueError(f"{name} {value:g} mm: {least:g} to {most:g} mm are possible")
    whole = [side - 2 * grid.margin for side in grid.paper]
    largest = shape.largest_face(
        (whole[0] - (shape.wide - 1) * between, whole[1] - (shape.high - 1) * between)
    )
    if not all(low <= side <= high for low, side, high in zip(LEAST_CARD, card, largest, strict=True)):
        words = "" if shape.name == "card" else f" as {shape.name}"
        raise ValueError(
            f"a card of {size_words(card, unit)}{words}: {size_words(LEAST_CARD, unit, rounded=1)} to "
            f"{size_words(largest, unit, rounded=-1)} are possible on {paper} with a margin of "
            f"{length_words(grid.margin, unit)}"
        )


def draw_margin(
    paper: tuple[float, float], margin: float, number: int, pages: int, free: int | None, page: Page
) -> Page:
    """Draw the control bar, the first place left ``free`` and the page's number in the lower margin."""
    x, y = margin, min(margin / 2, 7.0)
    stroke(page, (x, x + CONTROL), (y, y), weight=1.0, butt=True, gid="control")
    for end in (x, x + CONTROL):
        stroke(page, (end, end), (y - 1.0, y + 1.0), weight=0.5)
    put(page, x + CONTROL + 3, y - 1.0, "50 mm: measure me; print at 100 %", BODY)
    words = f"page {number} of {pages}"
    if free is not None:
        words = f"next free place: {free}   ·   {words}"
    put(page, paper[0] - margin, y - 1.0, words, BODY, ha="right")
    return page


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
        kind=place.kind,
    )
