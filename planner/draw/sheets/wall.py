"""One PDF for the wall: the day sheet, the move list, the lids and the rack map, on one size of paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.draw.data import Mark, sheet
from planner.draw.map.rack_map import figures
from planner.draw.paper.formats import paper_size
from planner.draw.paper.render import look, render
from planner.draw.sheets.day_sheet import day_figure
from planner.draw.sheets.lid_sheet import lid_figures, lid_pages
from planner.draw.sheets.move_pages import move_figures, number
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.section import Section

Day = tuple[str, str, Sequence[Section], str]
"""Title, summary, sections and foot of a day sheet."""


@look()
def wall(
    season: Season,
    plan: Plan,
    spots_by_place: Mapping[str, Sequence[Mark]],
    day: Day,
    moves: tuple[str, str, Section],
    paper: str = "A4",
) -> bytes:
    """Make the PDF, every page numbered through; the map lies across, the rest stands upright.

    Parameters
    ----------
    day, moves
        The day sheet, and the move list as title, words about it and rows; without rows it is left out.

    Raises
    ------
    ValueError
        When the plan is not of this season, or the paper is not known.
    """
    pages = [day_figure(*day, paper)]
    size = paper_size(paper)
    if moves[2].rows:
        pages += move_figures(*moves, size)
        if any(one.goes for one in lid_pages(season, plan, size[0])):  # the map has those who stay
            pages += lid_figures(season, plan, paper, numbered=False, all_lids=False)
    shown = sheet(season, plan, spots_by_place)
    pages += figures(shown, paged=True, paper=(size[1], size[0]), numbered=False)
    number(pages)
    return render(pages, "pdf")
