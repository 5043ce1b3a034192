"""``calendar``: the days to come for a calendar program.

With ``--json``: ``{"files": [path], "due": {day: [id, ...]}, "darkening": {day: [id, ...]}, "problems":
[]}``.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

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
from planner.cli.shell.talk import command, show, show_json, shown
from planner.follow.in_force import plan_that_holds
from planner.season.season_id import season_id
from planner.season.store import write_output

if TYPE_CHECKING:
    from planner.report.calendar_file import Entry

LARGEST = 20_000_000  # bytes of a file that is to be replaced; a larger one is not looked into


@command
def calendar(
    folder: SeasonFolder = Path(), output: Output = None, on: On = None, json_form: Json = False
) -> None:
    """Write the days to come as iCalendar: who is due, who darkens.

    Example: hangplan calendar porch -o season.ics

    More: hangplan calendar; hangplan calendar --on 2027-07-14 (from that day on).

    Import it again after each change: its events are replaced, not doubled. Write to the same file each
    time: then days on which nobody is due any more are cancelled. Without -o it is out/season.ics in the
    season's folder. Next: hangplan today, on those days.
    """
    check_on(on)
    path, _ = output_file(output, folder / "out" / "season.ics", ("ics",))
    season = open_season(folder)
    now = moment(on, season)

    from planner.report.calendar_file import DARK, DUE, calendar_file, entries
    from planner.words import count

    plan, _ = plan_that_holds(season)
    own = season_id(season.folder)
    write_output(path, calendar_file(season, now, plan, _previous(path), still_there(on, now), own))
    found = entries(season, now, still_there(on, now))
    if json_form:
        show_json({"files": [str(path)], DUE: _ids(found, DUE), DARK: _ids(found, DARK), "problems": []})
        return
    show(f"wrote {shown(path)}: {count(len(found), 'event')} from {now.date()} on")
    show("Import it into your calendar, again after each change: events are replaced.")


def _previous(path: Path) -> bytes:
    try:
        return path.read_bytes() if path.stat().st_size <= LARGEST else b""
    except OSError:
        return b""


def _ids(found: list[Entry], kind: str) -> dict[str, list[str]]:
    return {e.day.isoformat(): [p.pupa.id for p in e.about] for e in found if e.kind == kind}
