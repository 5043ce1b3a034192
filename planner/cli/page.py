"""``page``: one file for a phone beside the rack.

With ``--json``: ``{"files": [path], "days": [first, last], "pupae": number, "moves": number, "notes": [text,
...], "problems": []}``.
"""

from __future__ import annotations

from pathlib import Path

from planner.cli.shell.options import (
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    still_there,
)
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command, show, show_json, show_notes, shown
from planner.follow.in_force import plan_that_holds
from planner.follow.too_late import without_late
from planner.record.cleaned import closed_note
from planner.record.still_to_come import not_yet
from planner.season.store import write_output


@command
def page(
    folder: SeasonFolder = Path(), output: Output = None, on: On = None, json_form: Json = False
) -> None:
    """Write one page for a phone: the rack, day by day.

    Example: hangplan page porch -o porch.html

    More: hangplan page; hangplan page --on 2027-07-14 (from that day on).

    Send the file to your phone and open it there; it needs no network. Boxes you tick stay in the phone's
    browser: the page shows the lines that record them. Make it again after each change. Without -o it is
    out/page.html in the season's folder. Next: hangplan done or hangplan mark.
    """
    check_on(on)
    path, _ = output_file(output, folder / "out" / "page.html", ("html",))
    season = open_season(folder)
    now = moment(on, season)

    from planner.follow.day import Day
    from planner.report.page.data import PageData
    from planner.report.page.document import page as page_text
    from planner.words import count

    plan, why_not = plan_that_holds(season)
    plan = None if plan is None else without_late(season, plan, now)
    data = PageData(Day(season, now, plan, still_there(on, now)), why_not)
    write_output(path, page_text(data).encode())
    notes = [text for text in (not_yet(season, now), why_not) if text and data.shown]
    notes += closed_note(season)
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
    show(f"wrote {shown(path)}: {there}, {data.days[0]} to {data.days[-1]}")
    show_notes(notes)
    show("Open it on your phone. What you tick there is not recorded yet: it says how.")
