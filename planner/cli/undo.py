"""``undo``: take back the last change to the season's files, or see the history.

With ``--json``: ``{"undone": change or null, "redone": change or null, "files": [name, ...],
"next": change or null, "problems": []}``, with ``--list`` ``{"history": [change, ...], "problems": []}``, the
latest first. A change has ``change`` (its number), ``what``, ``when`` (ISO 8601, with offset), ``files`` and
``state``: ``stands``, ``next`` (undo takes it back), ``taken back`` or ``undo``. ``next`` is what undo takes
back then.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.cli.shell.options import Json, SeasonFolder
from planner.cli.shell.season_files import finish_interrupted, open_season, require_season
from planner.cli.shell.talk import command, show, show_json, show_paragraph, tell_paragraph, usage
from planner.report.texts.sheet import Table
from planner.season import undo as undoing
from planner.season.plan import plan_file
from planner.season.pupae import table
from planner.season.reading.problems import FaultyFiles
from planner.season.reading.told_dates import tell_no_year_of
from planner.season.settings import FILE as SETTINGS
from planner.season.store import Store
from planner.season.store.changes import Change
from planner.season.store.history import changes, standing
from planner.season.undo import Taken
from planner.words import call, count

SHOWN = 20  # changes of the history, unless all are wanted
OLD = "(by an earlier version)"


@command
def undo(
    folder: SeasonFolder = Path(),
    redo: Annotated[bool, typer.Option("--redo", help="Take back the last undo.")] = False,
    listing: Annotated[bool, typer.Option("--list", help="Show the history; change nothing.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="With --list: all of it.")] = False,
    json_form: Json = False,
) -> None:
    """Take back the last change to the season's files.

    Example: hangplan undo porch

    More: hangplan undo --redo (does it again); hangplan undo --list (all changes).

    Again, it takes back the one before. All files of a change go back together; a file that you edited
    since is never overwritten, and season.yaml is never touched. Next: hangplan check.
    """
    if redo and listing:
        usage("give either --redo or --list")
    if everything and not listing:
        usage("--all goes with --list")
    if listing:
        finish_interrupted(folder)
    require_season(folder)
    store = Store(folder)
    tell_no_year_of(datetime.now())
    if listing:
        _readable(folder)
        _list(store, everything, json_form)
        return
    taken = (undoing.redo if redo else undoing.undo)(store)
    done, _ = standing(changes(store.history))
    after = done[-1] if done and SETTINGS not in done[-1].names else None
    if json_form:
        change = _json(taken.change, "taken back" if not redo else "stands")
        show_json({"undone": None if redo else change, "redone": change if redo else None,
                   "files": list(taken.files), "next": after and _json(after, "next"),
                   "problems": []})  # fmt: skip
        return
    _report(folder, taken, redo, after)


def _report(folder: Path, taken: Taken, redo: bool, after: Change | None) -> None:
    readable = _readable(folder)
    files = " and ".join(taken.files)
    verb = "is" if len(taken.files) == 1 else "are"
    if redo:
        show_paragraph(f"done again: {taken.change.what or OLD}; {files} {verb} as after it")
    else:
        show_paragraph(f"taken back: {_title(taken.change)}; {files} {verb} as before it")
    if plan_file.FILE in taken.files and (folder / plan_file.FILE).exists():
        draws = f"'{call('map', folder)}' draws the map"
        show_paragraph(f"the drawings in out/ may be of the other plan: {draws}")
    if table.FILE in taken.files:
        show_paragraph("the rack does not change by that: look whether everybody hangs as recorded")
    steps = [] if redo else [f"'{call('undo', folder, '--redo')}' does it again"]
    if after is not None:
        steps.append(f"'{call('undo', folder)}' takes back: {_title(after)}")
    if steps:
        show_paragraph(f"Next: {'; '.join(steps)}")
    if not readable:
        told = f"'{call('check', folder)}' tells them"
        tell_paragraph(f"note: as they are now the files have faults: {told}")


def _readable(folder: Path) -> bool:
    """Whether the files are without faults; if so, days are told in their order from now on."""
    with suppress(FaultyFiles):
        open_season(folder)
        return True
    return False


def _list(store: Store, everything: bool, json_form: bool) -> None:
    found = changes(store.history)
    done, _ = standing(found)
    last = done[-1].number if done and SETTINGS not in done[-1].names else 0
    states = {c.number: "next" if c.number == last else "stands" for c in done}
    rows = [
        (c, "undo" if c.undoes else states.get(c.number) or states.get(c.goes_with or 0) or "taken back")
        for c in reversed(found)
    ]
    if json_form:
        show_json({"history": [_json(c, state) for c, state in rows], "problems": []})
        return
    if not rows:
        show("no change is recorded yet")
        return
    show(_table(rows if everything else rows[:SHOWN]))
    if not everything and len(rows) > SHOWN:
        show(f"and {count(len(rows) - SHOWN, 'earlier change')}: --all shows them")


def _table(rows: Sequence[tuple[Change, str]]) -> Table:
    said = {"next": "undo takes it back", "stands": "", "undo": "", "taken back": "taken back"}
    head = ("change", "when", "what", "files", "")
    body = [(f"{c.number:>6}", c.at, c.what or OLD, ", ".join(c.names), said[state]) for c, state in rows]
    return Table(head, body, (2, 3, 4))


def _title(change: Change) -> str:
    return f"'{change.what}' of {change.at}" if change.what else f"a change of {change.at} {OLD}"


def _json(change: Change, state: str) -> dict[str, Any]:
    return {
        "change": change.number,
        "what": change.what,
        "when": change.when,
        "files": list(change.names),
        "state": state,
    }
