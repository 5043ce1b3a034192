"""``new``: a season to start from.

With ``--json``: ``{"files": [path, ...]}``.
"""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.options import Json
from planner.cli.shell.season_files import finish_interrupted
from planner.cli.shell.talk import command, show, show_json, shown
from planner.record.refusal import Refused
from planner.season import settings
from planner.season.pupae import COLUMNS, table
from planner.season.store import Store
from planner.words import call


@command
def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder to make.")],
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Also inside the folder of another season.")
    ] = False,
    json_form: Json = False,
) -> None:
    """Write a season to start from, with a comment on each setting.

    Example: hangplan new porch

    More: hangplan new . (in the folder you stand in).

    A folder that holds a season already is left as it is. Next: write into its season.yaml where your pupae
    can hang, then hangplan add.
    """
    finish_interrupted(folder)
    for name in (settings.FILE, table.FILE):
        if (folder / name).exists():
            raise Refused([f"{folder / name} is there already: 'new' never writes over a season"])
    if not anyway and (outer := _outer(folder)):
        what = f"{folder} would be inside the season {outer}: name a folder beside it, or add --anyway"
        raise Refused([what])
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        if folder.is_symlink() and not folder.exists():
            raise Refused([f"{folder} is a link that leads nowhere"]) from None
        raise Refused([f"{folder} is not a folder: a season is a folder"]) from None
    starter = resources.files("planner.cli").joinpath("starter", settings.FILE).read_bytes()
    store = Store(folder)
    with store.locked("new"):
        store.write(settings.FILE, starter, expect=None)
        store.write(table.FILE, (",".join(COLUMNS) + "\n").encode(), expect=None)
    files = [folder / settings.FILE, folder / table.FILE]
    if json_form:
        show_json({"files": [str(f) for f in files]})
        return
    show(f"wrote {shown(files[0])} and {shown(files[1])}")
    show("Next:")
    show(f"  1. write into {settings.FILE} where your pupae hang, or can: lines, boards, lids")
    show(f"  2. {call('add', folder)} 3 tub-1 (three that pupated today on lid tub-1)")
    show(f"  3. {call('plan', folder)}")


def _outer(folder: Path) -> Path | None:
    """The season in whose folder, at any depth, this one would be."""
    return next((f for f in folder.resolve().parents if (f / settings.FILE).is_file()), None)
