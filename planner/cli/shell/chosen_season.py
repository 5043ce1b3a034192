"""The season that commands take where none is named and one stands in none; ``hangplan use`` chooses it.

It is one line in a file of the user, ``season`` in the folder that the system keeps for settings of programs.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

import typer

from planner.cli.shell.talk import tell
from planner.record.refusal import Refused
from planner.season import settings
from planner.season.pupae import table
from planner.season.store import OWN, write_output

LARGEST = 10_000  # bytes of a path


def choose(folder: Path | None) -> None:
    """Remember a season; None: forget it. Raises StoreError where that cannot be written."""
    file = _file()
    if folder is None:
        file.unlink(missing_ok=True)
        return
    file.parent.mkdir(parents=True, exist_ok=True)
    write_output(file, os.fsencode(folder.resolve()) + b"\n")


def chosen() -> Path | None:
    """The season that was chosen, whether it is still there or not; None: none was, or nobody can tell."""
    try:
        with _file().open("rb") as file:
            text = os.fsdecode(file.read(LARGEST)).strip("\r\n")
    except (OSError, ValueError, Refused):
        return None
    path = Path(text)
    return path if path.is_absolute() and "\0" not in text else None


def default_season() -> Path:
    """The folder one stands in, or the season that was chosen where that belongs to no other."""
    if _belongs_to_a_season(Path()):
        return Path()
    folder = chosen()
    if folder is None:
        return Path()
    try:
        others = [f for f in Path.cwd().parents if (f / settings.FILE).exists() and f != folder]
    except OSError:  # the folder one stands in is gone, which is told of it
        return Path()
    return Path() if others else folder


def _belongs_to_a_season(folder: Path) -> bool:
    """Whether it is one, if perhaps without the file that says so."""
    return any((folder / name).exists() for name in (settings.FILE, table.FILE, OWN))


def taken_season() -> Path:
    """The same for a command that names no season; if it is the chosen one, that is said."""
    folder = default_season()
    if folder != Path():
        tell(f"season: {short(folder)}")
    return folder


def season_argument(ctx: typer.Context, param: typer.CallbackParam, given: Path) -> Path:
    """What the argument SEASON stands for: whatever is typed there wins."""
    source = ctx.get_parameter_source(param.name or "")
    left_out = source is not None and source.name == "DEFAULT"
    return taken_season() if left_out and not ctx.resilient_parsing else given


def refuse_if_gone(folder: Path) -> None:
    """Say what to do where it was ``hangplan use`` that named a folder which is no season any more."""
    if folder == chosen():
        how = "'hangplan use SEASON' chooses another, 'hangplan use --none' none"
        raise Refused([f"{short(folder)}, the season that was chosen, is not there any more: {how}"])


def short(folder: Path) -> str:
    """``~/porch`` for a folder in one's own."""
    with suppress(ValueError, RuntimeError):
        return str(Path("~") / folder.relative_to(Path.home()))
    return str(folder)


def _file() -> Path:
    folder = Path(typer.get_app_dir("hangplan"))
    if not folder.is_absolute():
        raise Refused(["this computer names no folder for your settings: name the season in each call"])
    return folder / "season"
