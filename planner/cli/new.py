"""``new``: a season to start from.

With ``--json``: ``{"files": [path, ...]}``.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.shell.options import Json
from planner.cli.shell.season_files import finish_interrupted
from planner.cli.shell.talk import command, show, show_json, shown, tell, usage
from planner.cli.shell.terminal import can_ask
from planner.record.refusal import DONE, STOPPED, Refused
from planner.season import settings
from planner.season.pupae import COLUMNS, table
from planner.season.store import Store
from planner.words import call

if TYPE_CHECKING:
    from planner.cli.answers.starter import Starter


@command
def new(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder to make.")],
    name: Annotated[str | None, typer.Option(metavar="TEXT", help="Of the season.")] = None,
    timezone: Annotated[str | None, typer.Option(metavar="CITY", help="Where: Lisbon, Chicago.")] = None,
    species: Annotated[str | None, typer.Option(metavar="NAME", help="Of the pupae: monarch.")] = None,
    units: Annotated[str | None, typer.Option(metavar="UNIT", help="Of all lengths: cm or in.")] = None,
    temperature: Annotated[
        str | None, typer.Option(metavar="DEGREES", help="Where they hang: 23, or 73 F.")
    ] = None,
    places: Annotated[
        str | None, typer.Option(metavar="TEXT", help="'line 72, board 24 x 18, lid 23 x 16'; or none.")
    ] = None,
    kit: Annotated[
        int | None, typer.Option(metavar="N", help="So many caterpillars in a cup, and a net cage.")
    ] = None,
    after: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="The season before: its settings, places and what it taught."),
    ] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Also inside the folder of another season.")
    ] = False,
    json_form: Json = False,
) -> int:
    """Write a season to start from, with a comment on each setting.

    Example: hangplan new porch

    More: hangplan new yard --units in --places "2 lines of 72, lid 23 x 16" (asks only what is not given);
    hangplan new shed --places "line 180 at 20 x 150" (20 from the left, 150 high); hangplan new next --after
    porch; hangplan new . (in the folder you stand in).

    On a terminal it asks where you are, which species, which units, how warm it is and what they hang from;
    elsewhere it asks nothing, and writes a line, a board and lids to be changed. A folder that holds a season
    already is left as it is. Next: write into its season.yaml where your pupae can hang, then hangplan add.
    """
    finish_interrupted(folder)
    for file in (settings.FILE, table.FILE):
        if (folder / file).exists():
            raise Refused([f"{folder / file} is there already: 'new' never writes over a season"])
    if folder.is_symlink() and not folder.exists():
        raise Refused([f"{folder} is a link that leads nowhere"])
    if folder.exists() and not folder.is_dir():
        raise Refused([f"{folder} is not a folder: a season is a folder"])
    if not anyway and (outer := _outer(folder)):
        what = f"{folder} would be inside the season {outer}: name a folder beside it, or add --anyway"
        raise Refused([what])

    given = {"name": name, "timezone": timezone, "species": species, "units": units,
             "temperature": temperature, "places": places}  # fmt: skip
    if after is not None:
        for key, value in (given | {"kit": kit}).items():
            if value is not None and key != "name":
                usage(f"--{key}: comes with --after {after}; change it in the new {settings.FILE} then")

        from planner.cli.answers.next_season import carry_over

        carry_over(folder, after, name, lambda text: _write(folder, text), json_form=json_form)
        return DONE

    from planner.cli.answers.new import answered

    asks = can_ask() and not json_form
    try:
        starter = answered(folder, given, ask=asks, kit=kit)
    except typer.Abort:
        tell("\nstopped: nothing was written")
        return STOPPED
    _write(folder, starter.text())
    files = [folder / settings.FILE, folder / table.FILE]
    if json_form:
        show_json({"files": [str(f) for f in files]})
        return DONE
    show(f"wrote {shown(files[0])} and {shown(files[1])}")
    show("Next:")
    for number, step in enumerate(_steps(starter, folder), 1):
        show(f"  {number}. {step}")
    if asks:
        show(f"'{call('use', folder)}' lets you type 'hangplan today' and all else in any folder.")
    return DONE


def _write(folder: Path, text: str) -> None:
    """The two files that make a folder a season."""
    folder.mkdir(parents=True, exist_ok=True)
    store = Store(folder)
    with store.locked("new"):
        store.write(settings.FILE, text.encode(), expect=None)
        store.write(table.FILE, (",".join(COLUMNS) + "\n").encode(), expect=None)


def _steps(starter: Starter, folder: Path) -> list[str]:
    """What to do next."""
    if starter.kit:
        first = f"measure the cup and the cage: {settings.FILE} guesses them"
        return [first, f"{call('add', folder)} 3 cup (three that pupated today)", call("watch", folder)]
    lid = next((p.name for p in starter.places or () if p.kind == "lid"), "")
    hang = any(p.kind != "lid" for p in starter.places or ())
    first = f"write into {settings.FILE} where your pupae hang, or can: lines, boards, lids"
    if hang:
        first = f"measure the height, clips and pins of your lines and boards: {settings.FILE} guesses them"
        first += "" if lid else "; and write the lid on which they pupate into it"
    elif lid:
        first = f"write into {settings.FILE} where your pupae can hang: lines, boards"
    lid = lid or "tub-1"
    return [
        first,
        f"{call('add', folder)} 3 {lid} (three that pupated today on lid {lid})",
        call("plan", folder),
    ]


def _outer(folder: Path) -> Path | None:
    """The season in whose folder, at any depth, this one would be."""
    return next((f for f in folder.resolve().parents if (f / settings.FILE).is_file()), None)
