"""The rack map: every line and board to one scale, a date tag at every taken spot, and the lids small."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from planner.draw.data import Mark, Sheet, sheet
from planner.draw.map.blocks import blocks, fill
from planner.draw.map.heading import draw_scale_bar
from planner.draw.map.scale import choose
from planner.draw.map.stretches import spread
from planner.draw.paper.formats import PAPERS
from planner.draw.paper.pen import put
from planner.draw.paper.render import look, page, render, size_of
from planner.draw.paper.words import fit, width
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.style import BODY
from planner.words import CAUTION, day_month

ACROSS = (PAPERS["A4"][1], PAPERS["A4"][0])  # mm
MARGIN = 12.0
FOOT = 16.0  # mm kept at the lower edge for the scale and the page number


@look()
def rack_map(season: Season, plan: Plan, spots_by_place: Mapping[str, Sequence[Mark]], fmt: str) -> bytes:
    """Draw the map of a plan: ``png`` and ``svg`` as one sheet as long as it takes, ``pdf`` in A4 pages.

    Raises
    ------
    ValueError
        When the plan is not of this season, the format is unknown, or a PNG would be too large.
    """
    return render(figures(sheet(season, plan, spots_by_place), paged=fmt == "pdf"), fmt)


def figures(
    shown: Sheet, *, paged: bool, paper: tuple[float, float] = ACROSS, numbered: bool = True
) -> list[Figure]:
    """Draw the map on pages, or on one sheet of the paper's width; ``numbered``: with page numbers."""
    room = paper[0] - 2 * MARGIN
    scale = spread(choose(shown), shown, room)
    high = paper[1] - MARGIN - FOOT if paged else None
    pages = fill(list(blocks(shown, scale, room, high)), high)
    drawn = []
    for number, placed in enumerate(pages, start=1):
        bottom = placed[-1][1] + placed[-1][0].height
        figure, ax = page(paper[0], paper[1] if paged else bottom + MARGIN + FOOT)
        top = size_of(figure)[1] - MARGIN
        for block, down in placed:
            block.draw(ax, MARGIN, top - down)
        if any(block.group.startswith("place") for block, _ in placed):  # lids have a scale of their own
            draw_scale_bar(shown, scale, ax, MARGIN, 8.0)
        numbers = f"   ·   page {number} of {len(pages)}" if numbered else ""
        _draw_foot(shown, numbers, paper, ax)
        drawn.append(figure)
    return drawn


def _draw_foot(shown: Sheet, numbers: str, paper: tuple[float, float], ax: Axes) -> None:
    put(ax, MARGIN + 98, 6.9, CAUTION, BODY, bold=True)
    words = f"plan of {day_month(shown.on.date())}{numbers}"
    right = paper[0] - MARGIN
    put(ax, right, 6.9, words, BODY, ha="right")
    room = right - width(words, BODY) - MARGIN - 106 - width(CAUTION, BODY, True)
    put(
        ax,
        right - width(words, BODY) - 4,
        6.9,
        fit(shown.title, BODY, room, True),
        BODY,
        bold=True,
        ha="right",
    )
