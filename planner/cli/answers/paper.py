"""What the reports say, as blocks for the drawings of the day sheet and the move list.

In a terminal a text is left as it is; on paper each name that runs from right to left is kept apart from the
spot's number beside it.
"""

from __future__ import annotations

from planner.draw.sheets.day_sheet import Block
from planner.follow.day import Day
from planner.report.texts import day_sheet
from planner.report.texts.day_sheet import Section
from planner.report.texts.moves import how, move_rows
from planner.report.texts.text import CAUTION
from planner.season.direction import Names, apart, names_of
from planner.season.plan_record import Plan
from planner.season.season import Season


def day_words(day: Day) -> tuple[str, str, list[Block], str]:
    """Title, summary, blocks and foot of the day sheet."""
    names = names_of(day.season)
    blocks = [_block(section, names) for section in day_sheet.sections(day)]
    return names.apart(day_sheet.title(day)), day_sheet.summary(day), blocks, CAUTION


def move_words(season: Season, plan: Plan) -> tuple[str, str, Block]:
    """Title of the move list, what is to be heeded, and a row for each step."""
    head, rows = move_rows(season, plan)
    wide = tuple(k for k, name in enumerate(head) if name in ("from", "to", "heed"))
    section = Section("", "", head, tuple(rows), ("done",), wide, 1)
    return f"{apart(season.name)}: moves", how(plan), _block(section, names_of(season))


def _block(s: Section, names: Names) -> Block:
    rows = tuple(tuple(map(names.apart, row)) for row in s.rows)
    return Block(s.title, s.note, s.head, rows, s.boxes, s.wide, s.names)
