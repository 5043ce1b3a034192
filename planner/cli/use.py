"""``use``: choose the season that commands take where one stands in none.

With ``--json``: ``{"season": path or null, "problems": []}``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.chosen_season import choose, short
from planner.cli.shell.options import Json
from planner.cli.shell.season_files import require_season
from planner.cli.shell.talk import command, show, show_json, usage


@command
def use(
    folder: Annotated[
        Path | None,
        typer.Argument(metavar="SEASON", help="The season's folder.", show_default="the one you stand in"),
    ] = None,
    none: Annotated[bool, typer.Option("--none", help="Forget it: choose none.")] = False,
    json_form: Json = False,
) -> None:
    """Choose the season that commands take wherever you stand in none.

    Example: hangplan use porch

    More: hangplan use (the one you stand in).

    From then on hangplan today works in any folder. A season that you name, or stand in, comes first; when
    the chosen one is taken, a line says so. Next: hangplan today.
    """
    if none and folder is not None:
        usage("give either a season or --none")
    if not none:
        require_season(folder or Path())
    choose(None if none else folder or Path())
    season = None if none else (folder or Path()).resolve()
    if json_form:
        show_json({"season": season and str(season), "problems": []})
    elif season is None:
        show("No season is chosen: commands take the one you name, or stand in.")
    else:
        show(f"Where you stand in no season, commands now take {short(season)}.")
        show("Next: hangplan today")
