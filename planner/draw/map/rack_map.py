"""The rack map: every line and board to one scale, a date tag at every taken spot, and the lids small."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.draw.data import Mark, PlacePicture, Sheet, sheet
from planner.draw.map.blocks import blocks
from planner.draw.map.flow import FULL_ENOUGH, Block, Placed, bottom, draw_page, evened, fill
from planner.draw.map.heading import draw_scale_bar
from planner.draw.map.scale import Scale, choose
from planner.draw.map.stretches import spread
from planner.draw.map.tiles import is_whole
from planner.draw.paper.formats import paper_size
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put
from planner.draw.paper.render import check_height, look, render
from planner.draw.paper.words import fit, width
from planner.season.plan.plan_record import Plan
from planner.season.reading.told_dates import day_month
from planner.season.season import Season
from planner.style import BODY
from planner.words import CAUTION

MARGIN = 12.0
FOOT = 16.0  # mm kept at the lower edge for the scale and the page number
_BAR = 98.0  # mm, of which the scale bar takes the left


@dataclass(frozen=True)
class _Pages:
    """A map on sheets of a size in mm, across or upright."""

    paper: tuple[float, float]
    scale: Scale
    pages: list[Placed]

    @property
    def wasteful(self) -> tuple[int, bool]:
        """How many pages, and whether the last holds almost nothing."""
        room = self.paper[1] - MARGIN - FOOT
        return len(self.pages), bottom(self.pages[-1]) < FULL_ENOUGH * room


@look()
def rack_map(
    season: Season, plan: Plan, spots_by_place: Mapping[str, Sequence[Mark]], fmt: str, paper: str = "A4"
) -> bytes:
    """Draw the map of a plan: ``png`` and ``svg`` as one sheet as long as it takes, ``pdf`` in pages.

    Raises
    ------
    ValueError
        When the plan is not of this season, the format or paper is unknown, or a PNG would be too large.
    """
    return render(figures(sheet(season, plan, spots_by_place), fmt, paper), fmt)


def figures(shown: Sheet, fmt: str, paper: str = "A4") -> list[Page]:
    """Draw the map on pages, or on one sheet as wide as the paper is across.

    The pages lie across, or stand upright where that takes fewer of them.

    Raises
    ------
    ValueError
        When one sheet would be too tall for the format: as soon as it is, before anything is drawn on it.
    """
    paged = fmt == "pdf"
    high, wide = paper_size(paper)
    sizes = [(wide, high), (high, wide)] if paged else [(wide, high)]
    best = min((_pages(shown, size, fmt) for size in sizes), key=lambda found: found.wasteful)
    drawn = []
    for number, placed in enumerate(best.pages, start=1):
        tall = best.paper[1] if paged else bottom(placed) + MARGIN + FOOT
        page = Page(best.paper[0], tall)
        draw_page(placed, page, MARGIN, tall - MARGIN)
        if any(block.group.startswith("place") for block, _ in placed):  # lids have a scale of their own
            draw_scale_bar(shown, best.scale, page, MARGIN, 8.0)
        _draw_foot(shown, f"page {number} of {len(best.pages)}", best.paper[0], page)
        drawn.append(page)
    return drawn


def _pages(shown: Sheet, paper: tuple[float, float], fmt: str) -> _Pages:
    high = paper[1] - MARGIN - FOOT if fmt == "pdf" else None
    found, scale = map_blocks(shown, paper[0] - 2 * MARGIN, high)
    return _Pages(paper, scale, evened([*found], high) if high else fill([*_on_one_sheet(found, fmt)], None))


def _on_one_sheet(column: Iterable[Block], fmt: str) -> Iterator[Block]:
    tall = MARGIN + FOOT
    for block in column:
        tall += block.height
        check_height(tall, fmt)
        yield block


def map_blocks(shown: Sheet, room: float, high: float | None) -> tuple[Iterator[Block], Scale]:
    """The map as blocks ``room`` mm wide, on pages ``high`` mm high (None: endless), and its scale."""

    def whole(picture: PlacePicture, scale: Scale) -> bool:
        return is_whole(picture, scale, room, high)

    scale = spread(choose(shown, whole), shown, room)
    return blocks(shown, scale, room, high), scale


def _draw_foot(shown: Sheet, numbers: str, wide: float, page: Page) -> None:
    words = f"plan of {day_month(shown.on.date())}   ·   {numbers}"
    right = wide - MARGIN - width(words, BODY) - 4
    caution = width(CAUTION, BODY, True)
    beside = MARGIN + _BAR + caution + 8 < right
    put(page, MARGIN + (_BAR if beside else 0.0), 6.9 if beside else 12.0, CAUTION, BODY, bold=True)
    put(page, wide - MARGIN, 6.9, words, BODY, ha="right")
    room = right - MARGIN - _BAR - (caution + 8 if beside else 0.0)
    put(page, right, 6.9, fit(shown.title, BODY, room, True), BODY, bold=True, ha="right")
