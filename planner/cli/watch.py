"""``watch``: a sheet on which a class writes down, day by day, what it sees.

With ``--json``: ``{"files": [path], "pupae": [id, ...]}``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.options import Json, On, Output, Paper, check_on, output_file, read_paper, this_year
from planner.cli.shell.season_files import require_season
from planner.cli.shell.season_word import season_apart
from planner.cli.shell.talk import command
from planner.record.named_pupae import joined


@command
def watch(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[PUPA]... [SEASON]",
            show_default=False,
            help="Cards of these alone; and the season if not the one you stand in.",
        ),
    ] = None,
    season_option: Annotated[
        Path | None,
        typer.Option("--season", metavar="FOLDER", help="The season's folder, if it is not the last word."),
    ] = None,
    paper: Paper = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Draw cards to colour day by day for a class, and its tally.

    Example: hangplan watch class

    More: hangplan watch cup-a (those on one lid); hangplan watch m1-m6 --paper Letter.

    Each card has a part of a bar to colour and a box to write in for every day, from pupation to the last day
    on which it may well emerge; those days are framed. On the last page a square is coloured for each that
    emerges. Without -o it is out/watch.pdf in the season's folder. Next: hangplan mark, when one darkens or
    emerges.
    """
    check_on(on)
    size = read_paper(paper)
    names, folder = season_apart("watch", words or [], season_option)
    path, _ = output_file(output, folder / "out" / "watch.pdf", ("pdf",))
    require_season(folder, this_year(on))

    from planner.cli.answers.watch import answer

    answer(folder, joined(names), size, path, on, json_form=json_form)
