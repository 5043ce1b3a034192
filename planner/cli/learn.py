"""``learn``: what the season's own emergences teach, and putting that into force when the keeper says so.

With ``--json``: see `planner.cli.answers.learn._show_json`; with ``--history`` as well
``{"history": [entry, ...]}``, each entry as it stands in learned.yaml.
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
)
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command, usage
from planner.draw.paper.formats import FORMATS
from planner.season.load import LEARNED


@command
def learn(
    folder: SeasonFolder = Path(),
    species: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Only this one; may be given again.")
    ] = None,
    accept: Annotated[
        bool, typer.Option("--accept", help=f"Put the learned values into force: write {LEARNED}.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Accept also what may be chance, unasked.")] = False,
    forget: Annotated[
        bool, typer.Option("--forget", help="Put the profile in force again, without earlier seasons.")
    ] = False,
    history: Annotated[bool, typer.Option("--history", help="Show what was ever accepted.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="Show all rows of the tables.")] = False,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Compare forecasts with records; show how long it takes here.

    Example: hangplan learn porch -o learned.png

    More: hangplan learn --species monarch; hangplan learn --accept; hangplan learn --history; hangplan learn
    --forget.

    Nothing changes unless --accept is given. Where the forecasts got no better by more than chance, that
    asks; without a terminal it needs --yes, or ends with 2. With -o it draws forecasts against records,
    before and after learning: .png, .svg or .pdf. Next: hangplan plan, once it is accepted.
    """
    check_on(on)
    if history and (accept or output or species):
        usage("give --history alone: it shows everything that was ever accepted")
    if forget and (accept or output or history):
        usage("give --forget without --accept, --history or -o: it takes back what was learned")
    if yes and not accept:
        usage("--yes: it is for --accept, which puts the learned values into force")
    path, fmt = (None, "") if output is None else output_file(output, output, FORMATS)
    season = open_season(folder)

    from planner.cli.answers.learn import answer, forget_learned, show_history

    if forget:
        forget_learned(season, moment(on, season).date(), species or [], json_form=json_form)
        return
    if history:
        show_history(season, json_form=json_form)
        return
    now = moment(on, season)
    answer(
        season,
        now,
        species or [],
        path,
        fmt,
        accept=accept,
        yes=yes,
        everything=everything,
        json_form=json_form,
    )
