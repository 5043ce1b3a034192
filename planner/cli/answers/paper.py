"""What the reports say, for the drawings of the day sheet and the move list.

In a terminal a text is left as it is; on paper each name that runs from right to left is kept apart from the
spot's number beside it.
"""

from __future__ import annotations

from dataclasses import replace

from planner.emergence import temperature_notes
from planner.follow.day import Day
from planner.report.texts import day_sections
from planner.report.texts.moves import how, move_rows
from planner.report.texts.text import CAUTION
from planner.season.direction import Names, names_of
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.section import Section


def day_words(day: Day) -> tuple[str, str, list[Section], str]:
    """Title, summary, sections and foot of the day sheet."""
    names = names_of(day.season)
    found = [_apart(section, names) for section in day_sections.sections(day)]
    foot = [*(f"{text[0].upper()}{text[1:]}." for text in temperature_notes(day.season, day.now)), CAUTION]
    return names.apart(day_sections.title(day)), day_sections.summary(day), found, " ".join(foot)


def day_words_without_steps(day: Day) -> tuple[str, str, list[Section]]:
    """Title, summary and sections of the day sheet without the moves, which have a list of their own."""
    title, summary, found, _ = day_words(day)
    return title, summary, [section for section in found if "moved" not in section.boxes]


def move_words(season: Season, plan: Plan) -> tuple[str, Section]:
    """What is to be heeded with every step, and a row for each."""
    head, rows = move_rows(season, plan)
    wide = tuple(k for k, name in enumerate(head) if name not in ("step", "pupa", "pupated"))
    section = Section("", "", head, tuple(rows), ("done",), wide, 1)
    return how(plan), _apart(section, names_of(season))


def _apart(section: Section, names: Names) -> Section:
    return replace(section, rows=tuple(tuple(map(names.apart, row)) for row in section.rows))
