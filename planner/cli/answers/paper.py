"""What the reports say, for the drawings of the day sheet and the move list.

In a terminal a text is left as it is; on paper each name that runs from right to left is kept apart from the
spot's number beside it.
"""

from __future__ import annotations

from dataclasses import replace

from planner.follow.day import Day
from planner.report.texts import day_sheet
from planner.report.texts.moves import how, move_rows
from planner.report.texts.text import CAUTION
from planner.season.direction import Names, apart, names_of
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.section import Section


def day_words(day: Day) -> tuple[str, str, list[Section], str]:
    """Title, summary, sections and foot of the day sheet."""
    names = names_of(day.season)
    found = [_apart(section, names) for section in day_sheet.sections(day)]
    return names.apart(day_sheet.title(day)), day_sheet.summary(day), found, CAUTION


def move_words(season: Season, plan: Plan) -> tuple[str, str, Section]:
    """Title of the move list, what is to be heeded, and a row for each step."""
    head, rows = move_rows(season, plan)
    wide = tuple(k for k, name in enumerate(head) if name in ("from", "to", "heed"))
    section = Section("", "", head, tuple(rows), ("done",), wide, 1)
    return f"{apart(season.name)}: moves", how(plan), _apart(section, names_of(season))


def _apart(section: Section, names: Names) -> Section:
    return replace(section, rows=tuple(tuple(map(names.apart, row)) for row in section.rows))
