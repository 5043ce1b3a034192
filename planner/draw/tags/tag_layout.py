"""Where pieces lie on sheets: of one shape in a grid, of several in bands over a grid of faces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import floor

from planner.draw.tags.card import Card
from planner.draw.tags.shapes import Shape

LEAST_BAND_GAP = 3.0  # mm between two bands, which cut marks of both stand in


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

    @property
    def places(self) -> int:
        """Cards on a sheet."""
        return self.columns * self.rows

    def _count(self, axis: int) -> int:
        room = self.paper[axis] - 2 * self.margin
        return floor((room + self.gap) / (self.card[axis] + self.gap) + 1e-9)

    def corner(self, index: int, high: int = 1) -> tuple[float, float]:
        """Lower left corner of a card, or of one that is ``high`` times as high from its upper edge."""
        row, column = divmod(index, self.columns)
        wide = self.columns * (self.card[0] + self.gap) - self.gap
        left = (self.paper[0] - wide) / 2 + column * (self.card[0] + self.gap)
        return left, self.paper[1] - self.margin - high * self.card[1] - row * (self.card[1] + self.gap)


def gap_of(grid: Grid) -> float:
    """The gap of a grid, or less where only one card finds room along a side that takes two."""
    gap = grid.gap
    for room, side in zip(grid.paper, grid.card, strict=True):
        left = room - 2 * grid.margin - 2 * side
        if 0 <= left < gap:
            gap = left
    return gap


@dataclass(frozen=True)
class Band:
    """Pieces of one shape in full rows: each with its tag and its lower left corner, mm.

    ``lefts``, ``bottoms``: of all pieces that the marks are drawn for, from the left and from below.
    """

    shape: Shape
    size: tuple[float, float]
    pieces: tuple[tuple[Card, tuple[float, float]], ...]
    lefts: tuple[float, ...]
    bottoms: tuple[float, ...]


@dataclass(frozen=True)
class Laid:
    """One sheet; ``free``: the first place left free on it, None when it is full."""

    bands: tuple[Band, ...]
    free: int | None


def check_start(grid: Grid, start: int) -> None:
    """Refuse a place that a sheet does not have."""
    if not 1 <= start <= grid.places:
        raise ValueError(f"place {start} of a sheet: it has 1 to {grid.places}")


def of_one_shape(tags: Sequence[Card], grid: Grid, shape: Shape, start: int) -> list[Laid]:
    """Lay pieces one after another, row by row, from place ``start`` of the first sheet on."""
    check_start(grid, start)
    places = [divmod(start - 1 + i, grid.places) for i in range(len(tags))]
    laid = []
    for _, here in groupby(zip(tags, places, strict=True), key=lambda one: one[1][0]):
        found = [(tag, k) for tag, (_, k) in here]
        first, last = found[0][1], found[-1][1]
        rows = range(first // grid.columns, last // grid.columns + 1)
        used = range(first, last + 1) if len(rows) == 1 else range(grid.columns)
        band = Band(
            shape,
            grid.card,
            tuple((tag, grid.corner(k)) for tag, k in found),
            tuple(grid.corner(c % grid.columns)[0] for c in used),
            tuple(grid.corner(r * grid.columns)[1] for r in reversed(rows)),
        )
        laid.append(Laid((band,), last + 2 if last + 2 <= grid.places else None))
    return laid


def of_several(tags: Sequence[Card], grid: Grid, shapes: Mapping[str, Shape], start: int) -> list[Laid]:
    """Lay pieces in bands, one shape after another, on a ``grid`` of faces.

    ``shapes``: by kind of place. A piece takes the places of all its faces; each band begins in a new row, so
    that one cut goes through between two bands. Tags must stand in the order of their shapes.
    """
    check_start(grid, start)
    if grid.gap < LEAST_BAND_GAP:
        raise ValueError(f"gap {grid.gap:g} mm: between several shapes at least {LEAST_BAND_GAP:g} mm")
    sheets: list[list[Band]] = [[]]
    place = start - 1
    for shape, group in groupby(tags, key=lambda tag: shapes[tag.kind]):
        rest = list(group)
        place += -place % grid.columns if sheets[-1] else 0
        while rest:
            spots = list(_spots(grid, shape, place))[: len(rest)]
            if spots:
                sheets[-1].append(_band(grid, shape, rest[: len(spots)], spots))
                rest = rest[len(spots) :]
                place = _after(grid, shape, spots[-1], whole_row=bool(rest))
            if rest:
                if not sheets[-1]:
                    raise ValueError(f"place {start}: too late on a sheet for a {shape.name}: take a new one")
                sheets.append([])
                place = 0
    free = place + 1 if place + 1 <= grid.places else None
    return [Laid(tuple(bands), free if bands is sheets[-1] else None) for bands in sheets]


def _spots(grid: Grid, shape: Shape, place: int) -> Iterator[int]:
    """Places of the upper left faces of as many pieces as still fit on a sheet."""
    row, column = divmod(place, grid.columns)
    column += -column % shape.wide  # so that all rows of a band have their cuts in line
    while row + shape.high <= grid.rows:
        while column + shape.wide <= grid.columns:
            yield row * grid.columns + column
            column += shape.wide
        row, column = row + shape.high, 0


def _after(grid: Grid, shape: Shape, last: int, *, whole_row: bool) -> int:
    """The first place after a band of which the last piece begins at ``last``."""
    if shape.high == 1 and not whole_row:
        return last + shape.wide
    return (last // grid.columns + shape.high) * grid.columns


def _band(grid: Grid, shape: Shape, tags: Sequence[Card], spots: Sequence[int]) -> Band:
    corners = [grid.corner(k, shape.high) for k in spots]
    return Band(
        shape,
        shape.piece(grid.card),
        tuple(zip(tags, corners, strict=True)),
        tuple(sorted({left for left, _ in corners})),
        tuple(sorted({bottom for _, bottom in corners})),
    )
