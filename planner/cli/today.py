"""``today``: the day sheet.

With ``--json``: ``{"on", "expected": {"today", "tomorrow"}, "due": [...], "overdue": [...], "movable": [...],
"untouched": [...], "notes": [text, ...], "assumption": text, "files": [path, ...], "problems": []}``. Every
pupa has ``id``, ``species``, ``place``, ``spot``, ``x``, ``y`` (cm), ``due``, ``today`` and ``tomorrow``
(chances, 0 to 1; null: no date); an overdue one also ``by``, a movable one ``until`` and ``to`` (null, or
``place``, ``spot``, ``step``), one not to be touched ``why``. ``due`` has only those with a chance of 0.1 or
more on one of the two days. Times are local.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from planner.cli.shell.options import (
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    read_paper,
    still_there,
)
from planner.cli.shell.reports import show_report, show_report_json
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command, usage
from planner.follow.day import firm_since_text
from planner.follow.in_force import plan_that_holds
from planner.follow.too_late import clash_for_good
from planner.record.cleaned import closed_note
from planner.record.still_to_come import not_yet
from planner.season.store import write_output
from planner.words import call

if TYPE_CHECKING:
    from planner.follow.day import Day
    from planner.follow.prospects import Prospect


@command
def today(
    folder: SeasonFolder = Path(),
    everything: Annotated[bool, typer.Option("--all", help="All rows, however many.")] = False,
    paper: Annotated[
        str | None, typer.Option(metavar="SIZE", help="A4 or Letter, for -o.", show_default="A4")
    ] = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Show the day sheet: due, overdue, to be moved, not to touch.

    Example: hangplan today porch -o today.pdf

    More: hangplan today; hangplan today --all (however many); hangplan today --on 2027-07-14T07:30.

    -o makes one page for the wall, a PDF in large type with boxes to tick. Print tomorrow's in the evening
    with --on. Next: hangplan done or hangplan mark, whatever happened.
    """
    check_on(on)
    size = read_paper("A4" if paper is None else paper)
    if paper is not None and output is None:
        usage(f"--paper {size}: it is for the page that -o makes: give it with -o FILE")
    path = None if output is None else output_file(output, output, ("pdf",))[0]
    season = open_season(folder)
    now = moment(on, season)

    from planner.follow.day import Day
    from planner.report.texts import day_sheet
    from planner.words import ids, natural

    plan, why_not = plan_that_holds(season)
    day = Day(season, now, plan, still_there(on, now))
    late = day.too_late
    dark = f"too late to be moved as planned, may be darkening: {ids(late)}" if late else ""
    if plan is not None and (stuck := clash_for_good(season, plan, now)):
        pairs = ", ".join(f"{a} and {b}" for a, b in (sorted((c.a, c.b), key=natural) for c in stuck))
        again = f"'{call('plan', folder)}' makes a new one"
        dark = "; ".join(text for text in (dark, f"so these clash where they hang: {pairs}", again) if text)
    notes = [not_yet(season, now), why_not, dark, _waits(day), firm_since_text(day)]
    notes = [text for text in notes if text and day.all]
    notes += closed_note(season)
    if path is not None:
        write_output(path, _page(day, size))
    if json_form:
        show_report_json(season, _json(day), notes, path)
    else:
        show_report(season, day_sheet.sheet(day, everything), notes, path, dated=bool(day.all))


def _waits(day: Day) -> str:
    """Empty, or whom the plan leaves on their lids, and when to plan again."""
    from planner.words import ids
    from planner.words import moment as moment_text

    firm = {p.pupa.id for p in day.movable}
    waits = [one for one in (day.plan.waits if day.plan else ()) if one.pupa in firm]
    if not waits:
        return ""
    who, until = ids([one.pupa for one in waits]), min(one.until for one in waits)
    when = "now" if until <= day.now else f"on {moment_text(until)}"
    again = f"'{call('plan', day.season.folder, '--wait')}' finds out {when} whether there is a spot"
    return f"left on their lids for now: {who}; {again}"


def _page(day: Day, paper: str) -> bytes:
    from planner.cli.answers.paper import day_words
    from planner.draw.sheets.day_sheet import day_page

    return day_page(*day_words(day), paper)


def _json(day: Day) -> dict[str, Any]:
    from planner.report.texts.day_sheet import moment_text

    to = {m.pupa: {"place": m.to_place, "spot": m.to_spot, "step": m.step} for m, _ in day.moves}
    return {
        "on": day.now.isoformat(),
        "expected": {"today": day.expected(day.today), "tomorrow": day.expected(day.tomorrow)},
        "due": [_pupa(day, p) for p in day.due],
        "overdue": [{**_pupa(day, p), "by": moment_text(p.by)} for p in day.overdue],
        "movable": [
            {**_pupa(day, p), "until": moment_text(p.forecast.dark_from), "to": to.get(p.pupa.id)}
            for p in day.movable
        ],
        "untouched": [
            {**_pupa(day, p), "why": why} for why, group in day.untouched.items() for p in group
        ],
    }  # fmt: skip


def _pupa(day: Day, prospect: Prospect) -> dict[str, Any]:
    pupa, due = prospect.pupa, prospect.forecast.due
    known = prospect.emergence is not None
    return {
        "id": pupa.id,
        "species": pupa.species,
        "place": pupa.place,
        "spot": pupa.spot,
        "x": pupa.x,
        "y": pupa.y,
        "due": due and due.median.isoformat(timespec="minutes"),
        "today": prospect.chances[day.today] if known else None,
        "tomorrow": prospect.chances[day.tomorrow] if known else None,
    }
