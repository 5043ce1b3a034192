"""One PDF for the wall: the day, the steps with their lids, and the rack map, down the same pages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from planner.draw.data import Mark, sheet
from planner.draw.map.flow import Block, draw_page, fewest
from planner.draw.map.rack_map import map_blocks
from planner.draw.paper.formats import paper_size
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put
from planner.draw.paper.render import look, render
from planner.draw.paper.words import fit
from planner.draw.sheets.day_sheet import MOST, day_blocks, heading_block, text_blocks
from planner.draw.sheets.lid_page import lid_pages
from planner.draw.sheets.lid_sheet import TAKE
from planner.draw.sheets.steps import Layout, Steps, step_blocks, steps_of, type_size
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.section import Section
from planner.style import BLACK, BODY, LARGE, LARGER, LIST, QUIET
from planner.words import CAUTION, count

MARGIN, FOOT = 12.0, 14.0  # mm
LAYOUTS = (  # from generous to dense
    Layout(LIST),
    Layout(LARGE),
    Layout(LARGE, beside=True),
    Layout(LARGE, beside=True, split=True),
    Layout(LARGER, beside=True, split=True),
)
ABOVE = 4.0  # mm above the rack

Day = tuple[str, str, Sequence[Section]]
"""Title, summary and sections of a day sheet, without the steps."""


@look()
def wall(
    season: Season,
    plan: Plan,
    spots_by_place: Mapping[str, Sequence[Mark]],
    day: Day,
    moves: tuple[str, Section],
    paper: str = "A4",
) -> bytes:
    """Make the PDF of `wall_figures`."""
    return render(wall_figures(season, plan, spots_by_place, day, moves, paper), "pdf")


def wall_figures(
    season: Season,
    plan: Plan,
    spots_by_place: Mapping[str, Sequence[Mark]],
    day: Day,
    moves: tuple[str, Section],
    paper: str = "A4",
) -> list[Page]:
    """Draw upright pages, as few as it takes, numbered through.

    Everything is told once: a step at its lid, who stays on a lid there, too, all others on the map.

    Parameters
    ----------
    moves
        What to heed with every step, and a row for each step in order.

    Raises
    ------
    ValueError
        When the plan is not of this season, or the paper is not known.
    """
    across, tall = paper_size(paper)
    room, high = across - 2 * MARGIN, tall - MARGIN - FOOT
    shown = sheet(season, plan, spots_by_place)
    lids = {one.lid.name: one for one in lid_pages(season, plan, room)}
    steps = steps_of(plan, moves[1], lids, shown)
    above = frozenset(one.place for one in steps if one.lid)
    rack = [*map_blocks(replace(shown, title="The rack", above=above), room, high)[0]]
    sections = [section.cut(MOST) for section in day[2]]
    columns = [
        [
            *day_blocks(day[0], day[1], sections, layout.size, room),
            *_moves(moves[0], steps, room, layout),
            Block("head", ABOVE, lambda page, _x, _y: page, glued=True),
            *rack,
        ]
        for layout in LAYOUTS
    ]
    pages = fewest(columns, high)
    drawn = []
    for number, placed in enumerate(pages, start=1):
        page = Page(across, tall)
        draw_page(placed, page, MARGIN, tall - MARGIN)
        put(page, MARGIN, 8.0, f"{CAUTION} {TAKE}" if steps else CAUTION, BODY, bold=True)
        put(page, across - MARGIN, 8.0, f"page {number} of {len(pages)}", BODY, ha="right", gid="page")
        if number > 1:  # the first page has it as its title
            put(page, MARGIN, tall - 9.0, fit(day[0], BODY, room), BODY, colour=QUIET)
        drawn.append(page)
    return drawn


def _moves(words: str, steps: Sequence[Steps], room: float, layout: Layout) -> Iterator[Block]:
    """The steps, place by place."""
    if not steps:
        return
    number = len({m.pupa for one in steps for m in one.moves})
    yield heading_block("moves", f"{count(number, 'pupa', 'pupae')} to move", LARGE, room)
    yield from text_blocks("moves", words, LARGE, room, BLACK, glued=True)
    size = type_size(steps, room)
    for one in steps:
        yield from step_blocks(one, size, room, layout)
