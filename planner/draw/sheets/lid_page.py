"""A lid before any move, from above, in large type: the step of each that goes, the id of each that stays.

A number on black is the step of the move list; an id beside an open ring is one that stays.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from math import inf

from planner.draw.map.lid import BESIDE_DOT, SCALES, draw_edge
from planner.draw.paper.boxes import Box, around, middle, outside, room_near
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, disc, put, stroke
from planner.draw.paper.words import CAP, fit, width
from planner.season.places import Lid
from planner.season.plan.plan_record import Move, Plan
from planner.season.pupae import Pupa
from planner.season.season import Season
from planner.style import BLACK, LARGE, MM_PER_PT, WHITE
from planner.words import natural

OVER = 3.0  # mm a mark may stand over an edge
HIGHEST, STAYING = 150.0, 85.0  # mm a lid has at most, and one that nobody leaves


@dataclass(frozen=True)
class LidPage:
    """One lid: everybody on it now, and the first step of each that the plan moves."""

    lid: Lid
    n: float
    season: Season
    on: datetime
    pupae: tuple[Pupa, ...]
    moves: Mapping[str, Move]

    @property
    def size(self) -> tuple[float, float]:
        """Size of the lid on paper, mm."""
        return self.lid.width * 10 / self.n, self.lid.length * 10 / self.n

    @property
    def goes(self) -> list[Move]:
        """The steps from this lid, in their order."""
        return sorted((self.moves[p.id] for p in self.pupae if p.id in self.moves), key=lambda m: m.step)

    @property
    def stays(self) -> list[Pupa]:
        """Who is not moved."""
        return sorted((p for p in self.pupae if p.id not in self.moves), key=lambda p: natural(p.id))

    @cached_property
    def marks(self) -> dict[str, tuple[tuple[float, float], str, Box | None]]:
        """Of each measured pupa: where it is, its mark's words and room; mm from the lid's corner.

        Movers choose first, each within the edges if it can be, near its dot. A stayer whose id finds no room
        keeps its ring, and is named in the list.
        """
        high = LARGE * MM_PER_PT * 1.15
        at = {
            p.id: (p.x * 10 / self.n, p.y * 10 / self.n)
            for p in self.pupae
            if p.x is not None and p.y is not None
        }
        taken: list[Box] = [around(*dot, 2.4, 2.4) for dot in at.values()]
        found = {}
        for one in [*(m.pupa for m in self.goes), *(p.id for p in self.stays)]:
            if one in at:
                goes = one in self.moves
                words = str(self.moves[one].step) if goes else fit(one, LARGE, 20.0, middle=True)
                wide = max(width(words, LARGE, goes) + 1.6, high if goes else 0.0)
                room = room_near(*at[one], (wide, high), [*self._beyond(-0.5), *taken], wide / 2 + BESIDE_DOT)
                room = room or room_near(*at[one], (wide, high), [*self._beyond(OVER), *taken])
                if room:
                    taken.append(room)
                found[one] = (at[one], words, room)
        return found

    def _beyond(self, over: float) -> list[Box]:
        """What lies more than ``over`` mm beyond the lid's edges."""
        wide, high = self.size
        return outside((-over, -over, wide + over, high + over))


def scale_of(lid: Lid, wide: float, high: float) -> float:
    """The n of the largest scale 1 : n at which a lid is at most so many mm wide and high."""
    need = max(lid.width * 10 / wide, lid.length * 10 / high)
    return next((n for n in (1.0, 1.5, 2.0, 2.5, 3.0, *SCALES) if n >= need), need)


def lid_pages(season: Season, plan: Plan, room: float, high: float = HIGHEST) -> list[LidPage]:
    """Gather every lid that somebody is on, in the order of their first steps, each as large as fits.

    ``room``: how wide one may be, ``high``: how high one may be that somebody leaves, mm.
    """
    first = {m.pupa: m for m in sorted(plan.moves, key=lambda m: -m.step)}
    pages = []
    for lid in (place for place in season.places if isinstance(place, Lid)):
        here = tuple(p for p in season.pupae if p.present and p.place == lid.name)
        if here:
            moves = {m.pupa: m for p in here if (m := first.get(p.id)) and m.from_place == lid.name}
            scale = scale_of(lid, room, high if moves else min(high, STAYING))
            pages.append(LidPage(lid, scale, season, plan.on, here, moves))
    return sorted(pages, key=lambda one: one.goes[0].step if one.goes else inf)


def draw_lid(one: LidPage, page: Page, left: float, top: float) -> Page:
    """Draw a lid with its marks, 3 mm below ``top``; mm on paper."""
    wide, high = one.size
    bottom = top - 3.0 - high
    draw_edge(one.lid, page, (left, bottom), (wide, high), 1.4)
    cap = CAP * LARGE * MM_PER_PT
    for pupa, ((dx, dy), words, room) in one.marks.items():
        x, y, goes = left + dx, bottom + dy, pupa in one.moves
        disc(
            page,
            (x, y),
            1.2,
            fill=BLACK if goes else WHITE,
            edge=BLACK,
            weight=1.2,
            zorder=5,
            gid=f"dot-{pupa}",
        )
        if room:
            mx, my = middle(room)
            mx, my = left + mx, bottom + my
            stroke(page, (x, mx), (y, my), weight=0.9, zorder=3)
            size = (room[2] - room[0], room[3] - room[1])
            fill, ink = (BLACK, WHITE) if goes else (WHITE, BLACK)
            box(page, (mx - size[0] / 2, my - size[1] / 2), size, fill=fill, edge=None, zorder=4)
            put(page, mx, my - cap / 2, words, LARGE, bold=goes, colour=ink, ha="center", zorder=6,
                gid=f"{'step' if goes else 'stay'}-{pupa}")  # fmt: skip
    return page
