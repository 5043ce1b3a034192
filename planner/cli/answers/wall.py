"""All that belongs on the wall in one PDF: day sheet, move list, lids and map."""

from __future__ import annotations

from planner.cli.answers.paper import day_words, move_words
from planner.cli.answers.rack_map import marks
from planner.draw.sheets import wall as sheets
from planner.follow.day import Day
from planner.record.refusal import Refused
from planner.season.plan.plan_record import Plan
from planner.season.season import Season


def wall(season: Season, plan: Plan, day: Day, paper: str) -> bytes:
    """The PDF's bytes. Raises Refused when something cannot be drawn."""
    try:
        return sheets.wall(season, plan, marks(season), day_words(day), move_words(season, plan), paper)
    except ValueError as e:
        raise Refused([str(e)]) from None
