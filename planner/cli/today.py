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
from typing import Annotated

import typer

from planner.cli.shell.options import (
    Explain,
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
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command, usage


@command
def today(
    folder: SeasonFolder = Path(),
    everything: Annotated[bool, typer.Option("--all", help="All rows, however many.")] = False,
    explain: Explain = False,
    brief: Annotated[bool, typer.Option("--brief", help="One line, as for a notification.")] = False,
    paper: Annotated[
        str | None,
        typer.Option(metavar="SIZE", help="A4 or Letter, for -o.", show_default="as season.yaml says, or A4"),
    ] = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Show the day sheet: due, overdue, to be moved, not to touch.

    Example: hangplan today porch -o today.pdf

    More: hangplan today; hangplan today --all (however many); hangplan today --on 2027-07-14T07:30;
    hangplan today --brief (one line, as for a notification).

    -o makes one page for the wall, a PDF in large type with boxes to tick. Print tomorrow's in the evening
    with --on. Next: hangplan done or hangplan mark, whatever happened.
    """
    check_on(on)
    size = read_paper(paper)
    if size is not None and output is None:
        usage(f"--paper {size}: it is for the page that -o makes: give it with -o FILE")
    path = None if output is None else output_file(output, output, ("pdf",))[0]
    if brief and (output is not None or everything or json_form):
        usage("give --brief alone: it is one line of text")
    season = open_season(folder)
    now = moment(on, season)

    from planner.cli.answers.today import answer, show_brief

    if brief:
        show_brief(season, now, still_there(on, now, season))
        return
    since = still_there(on, now, season)
    rows = {"everything": everything, "explain": explain, "json_form": json_form}
    answer(season, now, since, path, size or season.paper, **rows)
