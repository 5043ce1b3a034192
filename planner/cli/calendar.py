"""``calendar``: the days to come for a calendar program.

With ``--json``: ``{"files": [path], "due": {day: [id, ...]}, "darkening": {day: [id, ...]}, "problems":
[]}``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.options import (
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    read_hours,
    still_there,
)
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command


@command
def calendar(
    folder: SeasonFolder = Path(),
    alarm: Annotated[
        list[str] | None,
        typer.Option(metavar="TIME", help="Ring at 7:30 of each day; may be given again."),
    ] = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Write the days to come as iCalendar: who is due, who darkens.

    Example: hangplan calendar porch -o season.ics

    More: hangplan calendar --alarm 7:30 --alarm 6pm (ring on each of these days); hangplan calendar --on
    2027-07-14 (from that day on).

    Import it again after each change: its events are replaced, not doubled. Write to the same file each
    time: then days on which nobody is due any more are cancelled. Without -o it is out/season.ics in the
    season's folder.

    Alarms ring by the season's time zone. Give --alarm each time: without it the events ring no more. Next:
    hangplan today, on those days.
    """
    check_on(on)
    hours = read_hours("--alarm", alarm or [])
    path, _ = output_file(output, folder / "out" / "season.ics", ("ics",))
    season = open_season(folder)
    now = moment(on, season)

    from planner.cli.answers.calendar import answer

    answer(season, now, still_there(on, now, season), path, hours, json_form=json_form)
