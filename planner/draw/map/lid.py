"""A lid from above: those who stay on it, each with its id; below it, who of them is due when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import dist

from planner.draw.data import Pair, PlacePicture
from planner.draw.map.label import Colours
from planner.draw.map.lid_list import ListRow, draw_list, list_height, list_rows
from planner.draw.map.links import draw_link
from planner.draw.paper.boxes import Box, around, middle, outside, room_near
from planner.draw.paper.marks import Point
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, disc, put, stroke
from planner.draw.paper.words import CAP, fit, width
from planner.season.places import Lid
from planner.style import BLACK, MM_PER_PT, QUIET, SMALL, UNKNOWN, WHITE

SCALES = (4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0)
HIGHEST = {4: 46.0, 3: 52.0, 2: 75.0, 1: 110.0}  # mm a lid has at most, by how many stand in a row
BESIDE = 6.0  # mm between two panels
DOT = 1.1  # mm
NARROW = 25.0  # mm; narrower lids have no room for ids inside
WITHIN = 0.4  # mm an id keeps from an edge
OVER = 1.5  # mm an id may stand over an edge
LOWEST = 2.5  # mm between a lid and its list
BESIDE_DOT = 4.5  # mm from a dot to an id that keeps within the edges, at most, beside half its width
NEAR = 12.0  # mm from a dot to the middle of its id, at most
FEW = 8  # as many waiting pairs are dashed boldly, more thinly


@dataclass(frozen=True)
class LidPanel:
    """A lid and who stays on it, 1 : ``n``. ``wide``: room on paper, mm."""

    picture: PlacePicture
    lid: Lid
    n: float
    colours: Colours | None
    wide: float

    @property
    def size(self) -> tuple[float, float]:
        """Size of the lid on paper, mm."""
        return self.lid.width * 10 / self.n, self.lid.length * 10 / self.n

    @cached_property
    def rows(self) -> list[ListRow]:
        """Who is due when."""
        return list_rows(self.picture, self.colours, self.wide)

    @property
    def height(self) -> float:
        """Height of the panel, mm."""
        return self.size[1] + LOWEST + list_height(self.rows)

    @cached_property
    def dots(self) -> dict[str, Point]:
        """Where each measured pupa is, mm from the panel's upper left corner."""
        return {
            h.pupa: (h.x * 10 / self.n, h.y * 10 / self.n - self.size[1])
            for h in self.picture.hung
            if h.x is not None and h.y is not None
        }

    def _outside(self, over: float) -> list[Box]:
        """Where no id may be: ``over`` mm beyond the lid's edges, or where the lid is small, the panel's."""
        wide, high = self.size
        right = self.wide if wide < NARROW else wide
        return outside((-over, -high - over, right + over, min(0.0, over)))

    @cached_property
    def names(self) -> dict[str, tuple[str, Box]]:
        """Each id that finds room near its dot, and where, mm from the panel's upper left corner.

        Within the edges if it can be, near the dot; else over one of them.
        """
        taken: list[Box] = [around(*dot, 2 * DOT, 2 * DOT) for dot in self.dots.values()]
        found = {}
        for pupa, dot in self.dots.items():
            name = fit(pupa, SMALL, 14.0, True, middle=True)
            size = (width(name, SMALL, True) + 0.6, SMALL * MM_PER_PT)
            place = room_near(*dot, size, [*self._outside(-WITHIN), *taken], size[0] / 2 + BESIDE_DOT)
            place = place or room_near(*dot, size, [*self._outside(OVER), *taken], NEAR)
            if place:
                taken.append(place)
                found[pupa] = (name, place)
        return found


def lid_panels(pictures: Sequence[PlacePicture], colours: Colours | None, room: float) -> list[LidPanel]:
    """Set all lids to one scale, as many beside each other as leave each id room at its dot."""
    most = min(max(len(pictures), 2), max(HIGHEST))
    for in_row in range(most, 0, -1):
        wide = (room - (in_row - 1) * BESIDE) / in_row
        lids = [(p, p.place) for p in pictures if isinstance(p.place, Lid)]
        need = max(max(v.width / wide, v.length / HIGHEST[in_row]) * 10 for _, v in lids)
        n = next((n for n in SCALES if n >= need), need)
        panels = [LidPanel(p, lid, n, colours, wide) for p, lid in lids]
        if all(len(p.names) == len(p.dots) for p in panels):
            break
    return panels


def draw_lid(panel: LidPanel, page: Page, left: float, top: float) -> Page:
    """Draw a lid seen from above with the panel's upper left corner at (left, top), mm on paper."""
    wide, high = panel.size
    draw_edge(panel.lid, page, (left, top - high), (wide, high), 1.2)
    at = {pupa: (left + x, top + y) for pupa, (x, y) in panel.dots.items()}
    draw_pairs(panel.picture.pairs, at, page)
    for h in panel.picture.hung:
        if h.pupa in at:
            fill = panel.colours(h.due) if panel.colours else UNKNOWN
            disc(page, at[h.pupa], DOT, fill=fill, edge=BLACK, weight=0.8, zorder=6, gid=f"dot-{h.pupa}")
    for pupa, (name, place) in panel.names.items():
        shifted = (left + place[0], top + place[1], left + place[2], top + place[3])
        _draw_name(name, at[pupa], at.values(), shifted, page)
    draw_list(panel.rows, page, left, top - high - LOWEST)
    return page


def draw_edge(lid: Lid, page: Page, corner: Point, size: tuple[float, float], weight: float) -> None:
    """Draw a lid's edge, its lower left corner at ``corner``; of a round one the rim within that."""
    gid, (x, y), (wide, high) = f"lid-{lid.name}", corner, size
    if lid.circular:
        middle = x + wide / 2, y + high / 2
        disc(page, middle, wide / 2, fill=WHITE, edge=QUIET, weight=weight, zorder=1, gid=gid)
    else:
        box(page, corner, size, edge=QUIET, weight=weight, zorder=1, gid=gid)


def draw_pairs(pairs: Sequence[Pair], at: Mapping[str, Point], page: Page) -> None:
    """Tie pairs together; the waiting ones thinly where they are many, so that the ids stay readable."""
    waits = []
    for pair in pairs:
        if pair.a.pupa in at and pair.b.pupa in at:
            ends = at[pair.a.pupa], at[pair.b.pupa]
            if pair.wait:
                waits.append(ends)
            else:
                draw_link(*ends, False, page, zorder=4)
    if waits:
        few, gap = len(waits) <= FEW, float("nan")
        xs = [x for a, b in waits for x in (a[0], b[0], gap)]
        ys = [y for a, b in waits for y in (a[1], b[1], gap)]
        stroke(page, xs, ys, colour=BLACK if few else QUIET, weight=1.4 if few else 0.6, ls=(0, (3, 2)),
               zorder=4, gid="wait")  # fmt: skip


def _draw_name(name: str, dot: Point, others: Iterable[Point], place: Box, page: Page) -> None:
    """Write an id, with a line to its dot when that is not beside it or another dot is about as near."""
    em = SMALL * MM_PER_PT
    x, y = middle(place)
    far = abs(y - dot[1]) > 1.3 * em or abs(x - dot[0]) > (place[2] - place[0]) / 2 + DOT + 1.5
    if far or any(dist((x, y), o) < 1.2 * dist((x, y), dot) for o in others if o != dot):
        stroke(page, (dot[0], x), (dot[1], y), weight=0.8, zorder=4.5, gid="pointing")
    box(page, place[:2], (place[2] - place[0], place[3] - place[1]), fill=WHITE, edge=None, zorder=5)
    put(page, x, y - CAP * em / 2, name, SMALL, bold=True, ha="center", zorder=7, gid="id")
