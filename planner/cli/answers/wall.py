"""All that belongs on the wall in one PDF: the day, the moves with their lids, and the map."""

from __future__ import annotations

from planner.cli.answers.paper import day_words_without_steps, move_words
from planner.cli.answers.rack_map import marks
from planner.draw.sheets import wall as sheets
from planner.follow.day import Day
from planner.record.refusal import Refused
from planner.season.plan.plan_record import Plan
from planner.season.season import Season


def wall(season: Season, plan: Plan, day: Day, paper: str) -> bytes:
    """The PDF's bytes. Raises Refused when something cannot be drawn."""
    try:
        told = day_words_without_steps(day)
        return sheets.wall(season, plan, marks(season), told, move_words(season, plan), paper)
    except ValueError as e:
        raise Refused([str(e)]) from None
