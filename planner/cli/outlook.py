"""``outlook``: the weeks to come.

With ``--json``: ``{"spots": there are, "runs_out": day or null, "may_run_out": day or null, "counted": text,
"lacking": null or {"day", "mean", "most"}, "days": [{"day", "emerging", "arriving", "needed",
"needed_most", "free", "free_least"}, ...], "notes": [...], "assumption": text, "files": [path, ...],
"problems": []}``. ``emerging``, ``needed`` and ``free`` are means; ``needed_most`` and ``free_least`` hold
with a chance of 0.9 for each day.
"""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.cli.cleaned import closed_note
from planner.cli.drawings import MAP_FORMATS, Output
from planner.cli.plan_in_force import plan_that_holds
from planner.cli.shell.options import Json, On, SeasonFolder, check_on, moment, output_file, still_there
from planner.cli.shell.reports import show_report, show_report_json
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command, usage
from planner.cli.shell.terminal import width
from planner.season.store import write_output

if TYPE_CHECKING:
    from planner.follow.outlook import Room
    from planner.season.season import Season

MOST_DAYS = 120


@command
def outlook(
    folder: SeasonFolder = Path(),
    days: Annotated[int, typer.Option(metavar="N", help="How many days, today included.")] = 21,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Show the weeks to come: emergences, and room for the expected.

    Example: hangplan outlook porch --days 28 -o outlook.png

    More: hangplan outlook; hangplan outlook --days 60.

    -o draws it instead: .png, .svg or .pdf. Next: hangplan plan.
    """
    check_on(on)
    if not 1 <= days <= MOST_DAYS:
        usage(f"--days: {days}: allowed is 1 to {MOST_DAYS}")
    path, fmt = (None, "") if output is None else output_file(output, output, MAP_FORMATS)
    season = open_season(folder)

    from planner.follow.outlook import room
    from planner.report.texts import outlook as report

    plan, why_not = plan_that_holds(season)
    now = moment(on, season)
    found = room(season, now, plan, days, still_there(on, now))
    notes = [text for text in (why_not, report.past_text(season, found)) if text]
    notes += closed_note(season)
    if path is not None:
        write_output(path, _picture(season, found, fmt))
    if json_form:
        show_report_json(season, _json(found), notes, path)
    else:
        show_report(season, report.sheet(season, found, plan, width(sys.stdout)), notes, path)


def _picture(season: Season, room: Room, fmt: str) -> bytes:
    from planner.draw.sheets.outlook import Course, outlook_picture
    from planner.season.when import day_text

    days = room.days
    course = Course(
        [d.day for d in days],
        [d.emerging for d in days],
        [d.arriving for d in days],
        [d.needed for d in days],
        [d.needed_most for d in days],
        room.spots,
    )
    first, last = days[0].day, days[-1].day
    title = f"{season.name}: {day_text(first)} to {day_text(last)} {last.year}"
    return outlook_picture(title, course, fmt)


def _json(room: Room) -> dict[str, Any]:
    from planner.report.texts.shortage import worst_day

    worst = worst_day(room)
    return {
        "spots": room.spots,
        "runs_out": room.runs_out and room.runs_out.isoformat(),
        "may_run_out": room.may_run_out and room.may_run_out.isoformat(),
        "counted": room.counted,
        "lacking": worst
        and {
            "day": worst.day.isoformat(),
            "mean": max(0.0, worst.needed - room.spots),
            "most": worst.needed_most - room.spots,
        },
        "days": [
            {
                **asdict(d),
                "day": d.day.isoformat(),
                "free": room.spots - d.needed,
                "free_least": room.spots - d.needed_most,
            }
            for d in room.days
        ],
    }
