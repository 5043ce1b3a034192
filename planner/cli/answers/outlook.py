"""What ``outlook`` answers: the weeks to come, told or drawn."""

from __future__ import annotations

import sys
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.cli.shell.reports import show_report, show_report_json
from planner.cli.shell.terminal import width
from planner.emergence import temperature_notes
from planner.follow.in_force import plan_that_holds
from planner.follow.outlook import Room, room
from planner.record.cleaned import closed_note
from planner.report.texts import outlook as report
from planner.report.texts.shortage import worst_day
from planner.season.reading.told_dates import day_text, whole_day
from planner.season.season import Season
from planner.season.store import write_output


def answer(
    season: Season, now: datetime, since: datetime, days: int, path: Path | None, fmt: str, *, json_form: bool
) -> None:
    """Show so many days, or draw them to ``path``. ``since``: all were still hanging then."""
    plan, why_not = plan_that_holds(season)
    found = room(season, now, plan, days, since)
    notes = [text for text in (str(why_not or ""), report.past_text(season, found)) if text]
    notes += [*temperature_notes(season, now), *closed_note(season)]
    if path is not None:
        write_output(path, _picture(season, found, fmt))
    if json_form:
        show_report_json(season, _json(found), notes, path)
    else:
        show_report(season, report.sheet(season, found, plan, width(sys.stdout)), notes, path)


def _picture(season: Season, found: Room, fmt: str) -> bytes:
    from planner.draw.sheets.outlook import Course, outlook_picture  # matplotlib: only where it is drawn

    days = found.days
    course = Course(
        [d.day for d in days],
        [d.emerging for d in days],
        [d.arriving for d in days],
        [d.needed for d in days],
        [d.needed_most for d in days],
        [d.spots for d in days],
    )
    first, last = days[0].day, days[-1].day
    title = f"{season.name}: {day_text(first)} to {whole_day(last)}"
    return outlook_picture(title, course, fmt)


def _json(found: Room) -> dict[str, Any]:
    worst = worst_day(found)
    return {
        "spots": found.spots,
        "runs_out": found.runs_out and found.runs_out.isoformat(),
        "may_run_out": found.may_run_out and found.may_run_out.isoformat(),
        "counted": found.counted,
        "lacking": worst
        and {
            "day": worst.day.isoformat(),
            "mean": max(0.0, -worst.free),
            "most": -worst.free_least,
        },
        "days": [
            {
                **asdict(d),
                "day": d.day.isoformat(),
                "free": d.free,
                "free_least": d.free_least,
            }
            for d in found.days
        ],
    }
