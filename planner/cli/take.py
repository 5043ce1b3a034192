"""``take``: record what phones wrote down at the rack, from slips.

With ``--json``: ``{"taken": number, "already": number, "new": [{"id", "event"}, ...], "events": [{"event",
"kind", "pupa", "counts", "device", "at"}, ...], "cautions": [text, ...], "dry_run": bool, "problems": []}``.
``counts`` is false where another event about the same counts instead. In a dry run ids of new ones are null.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.chosen_season import taken_season
from planner.cli.shell.options import Json, On, check_on, moment, this_year
from planner.cli.shell.season_files import open_season, require_season
from planner.cli.shell.talk import command, usage
from planner.record.refusal import Refused
from planner.season import settings
from planner.season.store import Store
from planner.season.store.disk import read_most
from planner.words import call

STDIN = "-"


@command
def take(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="FILES",
            help="Slips, - for one that is piped in or pasted; and the season if not the one you stand in.",
            show_default=False,
        ),
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option(metavar="PUPA", help="Leave out what is told of this one; once for each."),
    ] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Record a move at a time when it was not to be touched.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would be recorded, write nothing.")
    ] = False,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Record what a phone wrote down at the rack.

    Example: hangplan take slip.txt porch

    More: hangplan take - (paste the slip, then Ctrl-D; on Windows Ctrl-Z, Enter); hangplan take a.txt b.txt
    (of two phones); hangplan take slip.txt --dry-run.

    The page of hangplan page makes slips. A slip is taken wholly or not at all, and each event once: to take
    it again does no harm. Next: hangplan plan.
    """
    check_on(on)
    folder, names = _season_apart(words or [])
    require_season(folder, this_year(on))

    from planner.cli.answers.take import report
    from planner.record.slip import LARGEST, read_slips
    from planner.record.taking import state_of, take_into
    from planner.record.this_season import of_this_season
    from planner.season.season_id import season_id

    slips = [slip for name in names for slip in read_slips(*_bytes_of(name, LARGEST))]
    store, own = Store(folder), season_id(folder)
    with store.locked("take"):
        season = open_season(folder)
        now = moment(on, season)
        of_this_season(season, own, slips)
        state = state_of(season)
        try:
            found = take_into(store, state, slips, now, anyway=anyway, without=without or [], dry_run=dry_run)
        except Refused as e:
            raise Refused(e.told, typed=[*e.typed, *_ways_out(e.told, folder)]) from None
    report(season, found, now, dry_run=dry_run, json_form=json_form)


def _season_apart(words: list[str]) -> tuple[Path, list[str]]:
    """The season, first or last of the words, and the files."""
    seasons = [w for w in words if w != STDIN and (Path(w) / settings.FILE).exists()]
    names = [w for w in words if w not in seasons]
    if len(seasons) > 1:
        usage(f"the season is named twice: {seasons[0]} and {seasons[1]}")
    folder = Path(seasons[0]) if seasons else taken_season()
    for name in names:
        if Path(name).is_dir():
            usage(f"{name} is a folder: name the file with the slip in it")
    if not names:
        usage(f"name the file with the slip, or - to paste it: {call('take -', folder)}")
    return folder, names


def _ways_out(problems: Sequence[object], folder: Path) -> list[str]:
    """What to do where two cannot both be true; the phone keeps its events meanwhile."""
    if not any(" is taken: " in str(p) or "hangs there already" in str(p) for p in problems):
        return []
    how = f"'{call('done PUPA', folder)} --to PLACE SPOT' records where one hangs"
    return [f"nothing was taken. Look at the rack; {how}, and --without PUPA takes the rest"]


def _bytes_of(name: str, largest: int) -> tuple[bytes, str]:
    """What a file holds, or what is piped in or pasted, and how to call it in messages."""
    if name == STDIN:
        return read_most(sys.stdin.buffer, largest), "stdin"
    with Path(name).open("rb") as file:
        return read_most(file, largest), name
