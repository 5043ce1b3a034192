"""A lid from above: those who stay on it, each with its id, and a list of their dates beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from matplotlib.axes import Axes

from planner.draw.boxes import Box, around, middle, room_near
from planner.draw.data import Hung, PlacePicture
from planner.draw.label import Colours
from planner.draw.links import draw_link, draw_sign, sign_width
from planner.draw.pen import Point, box, disc, put, stroke
from planner.draw.style import BLACK, MM_PER_PT, QUIET, UNKNOWN
from planner.draw.words import CAP, day_month, fit, width
from planner.season.places import Lid

SCALES = (4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0)
ROW = 4.3  # mm
SIZE = 8.0  # pt
DOT = 1.1  # mm
GAP = 6.0  # mm between a lid and its list
COLUMN = 56.0  # mm, of the list
LOWEST = 5.0  # mm under a lid, for labels that stand over its edge


@dataclass(frozen=True)
class Sizes:
    """How large lids are drawn: panels in a row, their width, and what a lid may take of it, mm."""

    in_row: int
    panel: float
    lid: tuple[float, float]


SMALL = Sizes(2, 134.0, (60.0, 45.0))
LARGE = Sizes(1, 273.0, (150.0, 110.0))  # for lids where many stay


def lid_sizes(pictures: Sequence[PlacePicture]) -> Sizes:
    """Two lids beside each other, unless one is too crowded for that."""
    return LARGE if any(len(p.hung) > 8 for p in pictures) else SMALL


def lid_scale(lids: Sequence[Lid], sizes: Sizes) -> float:
    """Choose one scale for all lids, 1 : n."""
    need = max((max(v.width / sizes.lid[0], v.length / sizes.lid[1]) * 10 for v in lids), default=10.0)
    return next((n for n in SCALES if n >= need), need)


@dataclass(frozen=True)
class LidPanel:
    """A lid and who stays on it. ``wide``: room for both lid and list, mm."""

    picture: PlacePicture
    lid: Lid
    n: float
    colours: Colours | None
    wide: float

    @property
    def size(self) -> tuple[float, float]:
        """Size of the lid on paper, mm."""
        return self.lid.width * 10 / self.n, self.lid.length * 10 / self.n

    @property
    def columns(self) -> int:
        """How many columns the list has."""
        return max(1, int((self.wide - self.size[0] - GAP) // COLUMN))

    @property
    def rows(self) -> int:
        """How many rows the list has."""
        return -(-len(self.picture.hung) // self.columns)

    @property
    def height(self) -> float:
        """Height of the panel, mm."""
        return max(self.size[1], ROW * self.rows) + LOWEST

    @cached_property
    def dots(self) -> dict[str, Point]:
        """Where each measured pupa is, mm from the panel's upper left corner."""
        return {
            h.pupa: (h.x * 10 / self.n, h.y * 10 / self.n - self.size[1])
            for h in self.picture.hung
            if h.x is not None and h.y is not None
        }

    def dates(self, h: Hung) -> str:
        """Say when it pupated and is due: ``3 Jul  due 16``."""
        if h.pupated is None:
            return "prepupa: do not touch"
        short = self.colours is not None and self.colours.short
        due = "?" if h.due is None else str(h.due.day) if short else day_month(h.due)
        return f"{day_month(h.pupated)}  due {due}"


def draw_lid(panel: LidPanel, ax: Axes, left: float, top: float) -> Axes:
    """Draw a lid seen from above with the panel's upper left corner at (left, top), mm on paper."""
    wide, high = panel.size
    box(ax, (left, top - high), (wide, high), edge=QUIET, weight=1.2, zorder=1, gid=f"lid-{panel.lid.name}")
    at = {pupa: (left + x, top + y) for pupa, (x, y) in panel.dots.items()}
    for pair in panel.picture.pairs:
        if pair.a.pupa in at and pair.b.pupa in at:
            draw_link(at[pair.a.pupa], at[pair.b.pupa], pair.wait, ax, zorder=4)
    taken: list[Box] = [around(x, y, 2 * DOT, 2 * DOT) for x, y in at.values()]
    for i, h in enumerate(panel.picture.hung):
        if h.pupa in at:
            fill = panel.colours(h.due) if panel.colours else UNKNOWN
            disc(ax, at[h.pupa], DOT, fill=fill, edge=BLACK, lw=0.8, zorder=6, gid=f"dot-{h.pupa}")
            _name(h.pupa, at[h.pupa], taken, ax)
        column, row = divmod(i, panel.rows)
        _list(panel, h, left + wide + GAP + column * COLUMN, top - ROW * (row + 0.5), ax)
    return ax


def _name(pupa: str, dot: Point, taken: list[Box], ax: Axes) -> None:
    """Write an id as near to its dot as there is room, with a line to it when that is not beside it."""
    name = fit(pupa, SIZE, 14.0, True, middle=True)
    em = SIZE * MM_PER_PT
    place = room_near(*dot, (width(name, SIZE, True) + 0.6, em), taken)
    if not place:
        return  # the list still has it
    taken.append(place)
    x, y = middle(place)
    if abs(y - dot[1]) > em or abs(x - dot[0]) > (place[2] - place[0]) / 2 + DOT + 1.5:
        stroke(ax, (dot[0], x), (dot[1], y), weight=0.6, zorder=3)
    box(ax, place[:2], (place[2] - place[0], place[3] - place[1]), fill="#ffffff", edge=None, zorder=5)
    put(ax, x, y - CAP * em / 2, name, SIZE, bold=True, ha="center", zorder=7)


def _list(panel: LidPanel, h: Hung, x: float, y: float, ax: Axes) -> None:
    """Write one row of the list: id, dates, a sign for one of a pair, and whether it was not measured."""
    base = y - CAP * SIZE * MM_PER_PT / 2
    sign = "CLASH" if h.clash else "wait" if h.wait else ""
    dates = panel.dates(h) + ("" if h.pupa in panel.dots else "  (not measured)")
    room = COLUMN - 4 - width(dates, SIZE) - (sign_width(sign) + 2 if sign else 0)
    name = fit(h.pupa, SIZE, room, True, middle=True)
    put(ax, x, base, name, SIZE, bold=True)
    x += width(name, SIZE, True) + 2
    put(ax, x, base, dates, SIZE)
    if sign:
        draw_sign(sign, not h.clash, x + width(dates, SIZE) + 2 + sign_width(sign) / 2, y, ax)
