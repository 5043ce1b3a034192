"""What ``page`` writes: the file for a phone, and what is in it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from planner.cli.shell.talk import show, show_json, show_notes, shown
from planner.emergence import forecasts, temperature_notes
from planner.follow.day import Day
from planner.follow.in_force import plan_that_holds
from planner.follow.too_late import without_late
from planner.record.cleaned import closed_note
from planner.record.still_to_come import not_yet
from planner.record.taken import read_log
from planner.report.page.data import PageData
from planner.report.page.document import page
from planner.season.reading.told_dates import day_text, whole_day
from planner.season.season import Season
from planner.season.season_id import season_id
from planner.season.store import write_output
from planner.words import count

MOST_TAKEN = 2000  # events whose ids the page knows, the latest: a phone holds no older ones


def data_of(season: Season, now: datetime, since: datetime) -> PageData:
    """All that a page shows of a season. ``since``: all were still hanging then."""
    plan, note = plan_that_holds(season)
    plan = None if plan is None else without_late(season, plan, forecasts(season, now))
    taken = tuple(e.event.id for e in read_log(season.folder).entries[-MOST_TAKEN:])
    return PageData(Day(season, now, plan, since), note, season_id(season.folder) or "", taken)


def answer(season: Season, now: datetime, since: datetime, path: Path, *, json_form: bool) -> None:
    """Write the page to ``path``. ``since``: all were still hanging then."""
    data = data_of(season, now, since)
    write_output(path, page(data).encode())
    notes = [text for text in (not_yet(season, now), str(data.plan_note or "")) if text and data.shown]
    notes += [*temperature_notes(season, now), *closed_note(season)]
    if json_form:
        show_json(
            {
                "files": [str(path)],
                "days": [data.days[0].isoformat(), data.days[-1].isoformat()],
                "pupae": len(data.shown),
                "moves": len(data.moves),
                "notes": notes,
                "problems": [],
            }
        )
        return
    there = count(len(data.shown), "pupa", "pupae")
    show(f"wrote {shown(path)}: {there}, {day_text(data.days[0])} to {whole_day(data.days[-1])}")
    show_notes(notes)
    show("Open it on your phone. What you write down there comes back as a slip: 'hangplan take' records it.")
