"""``map``: the rack of the plan in force, or all that belongs on the wall, once the verifier passed it.

With ``--json``: ``{"files": [path]}``.
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
    read_paper,
    still_there,
)
from planner.cli.shell.talk import command, usage
from planner.draw.paper.formats import FORMATS
from planner.season.store import write_output


@command
def map_(
    folder: SeasonFolder = Path(),
    wall: Annotated[
        bool, typer.Option("--wall", help="The day, the moves with their lids, and the map as one PDF.")
    ] = False,
    paper: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="A4 or Letter, for --wall and for a .pdf.",
            show_default="as season.yaml says, or A4",
        ),
    ] = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Draw the rack to scale, with a date tag at every spot.

    Example: hangplan map porch -o porch.pdf

    More: hangplan map; hangplan map --wall --paper Letter.

    The suffix chooses the format: .png, .svg or .pdf; without -o it is out/map.png in the season's folder.
    --wall puts the day, the moves and the rack on as few pages as it takes, each thing once, into
    out/wall.pdf without -o. Next: hangplan tags.
    """
    check_on(on)
    size = read_paper(paper)
    if size is not None and not wall and (output is None or output.suffix.lower() != ".pdf"):
        usage(f"--paper {size}: a picture has a size of its own: give it with --wall or -o map.pdf")
    from planner.cli.answers.plan_on_paper import on_paper, open_verified, wrote
    from planner.follow.day import Day

    if wall:
        path, _ = output_file(output, folder / "out" / "wall.pdf", ("pdf",))
        season, plan, old = open_verified(folder)
        now = moment(on, season)
        day = Day(season, now, plan, still_there(on, now, season))
        plan = on_paper(season, plan, old, on)

        from planner.cli.answers.wall import wall as draw_wall

        write_output(path, draw_wall(season, plan, day, size or season.paper))
        wrote(path, json_form)
        return
    path, fmt = output_file(output, folder / "out" / "map.png", FORMATS)
    season, plan, old = open_verified(folder)
    plan = on_paper(season, plan, old, on)

    from planner.cli.answers.rack_map import draw_to

    drawn = draw_to(season, plan, path, fmt, asked=output is not None, paper=size or season.paper)
    wrote(drawn, json_form)
