"""``plan``: make the plan, have it verified, and only then write and show it.

With ``--json``: ``{"plan": {...}, "files": [path, ...], "problems": []}``; the plan has the fields of
`planner.season.plan_record.Plan`, times local, lengths in cm, null where there is none.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, replace
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.cli.drawings import MAP_FORMATS, Output, draw_map
from planner.cli.options import Json, On, SeasonFolder, check_on, moment, output_file
from planner.cli.season_files import breaches, changed, open_season
from planner.cli.talk import (
    DONE,
    FAULTY,
    IMPOSSIBLE,
    UNPROVED,
    Refused,
    call,
    command,
    problem_json,
    show,
    show_json,
    shown,
    tell,
    usage,
)
from planner.season import plan_file
from planner.season.load import digest, read_bytes
from planner.season.plan_record import Plan
from planner.season.season import Season
from planner.season.store import Store, StoreError, write_output

GIVEN_UP = 130  # what a shell expects of a command ended by Ctrl-C
MOST_SECONDS = 86_400


class GivenUp(BaseException):
    """The second Ctrl-C. Not a KeyboardInterrupt, which the solver takes for the first."""


@command
def plan(
    folder: SeasonFolder = Path(),
    gap: Annotated[
        float | None,
        typer.Option(metavar="DAYS", help="Days between neighbours.", show_default="gap_days of season.yaml"),
    ] = None,
    widest: Annotated[
        bool, typer.Option("--widest", help="Widen the smallest gap, even if more must be moved.")
    ] = False,
    seconds: Annotated[float, typer.Option(metavar="N", help="How long to try.")] = 60.0,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> int:
    """Plan where each pupa hangs; write plan.yaml, the map and the move list.

    Example: hangplan plan porch

    Ctrl-C ends the search and keeps the best plan so far; a second one gives up. -o names the map (.png,
    .svg, .pdf). Ends with 3 when clashes are left, or pupae on a lid to be cleared, and that is proved
    unavoidable; with 4 when it is not proved.
    """
    check_on(on)
    if gap is not None and not 0 <= gap <= 60:
        usage(f"--gap: {gap:g}: allowed is 0 to 60 days")
    if not 0 < seconds <= MOST_SECONDS:
        usage(f"--seconds: {seconds:g}: allowed is more than 0 and at most {MOST_SECONDS}")
    path, fmt = output_file(output, folder / "out" / "map.png", MAP_FORMATS)
    season = open_season(folder)
    before = read_bytes(folder, plan_file.FILE, plan_file.LARGEST)
    if not any(p.present for p in season.pupae):
        raise Refused([f"no pupa is present: '{call('add', folder)}' records some"])

    try:
        found = _search(season, moment(on, season), gap, widest, seconds)
    except GivenUp:
        tell("given up: nothing was written")
        return GIVEN_UP
    _verify(season, found)
    _store(season, found, None if before is None else digest(before))
    files, problems = _outputs(season, found, path, fmt)
    code = FAULTY if problems else exit_code(found)
    if json_form:
        written = [str(f) for f in files]
        show_json(
            {"plan": _plain(asdict(found)), "files": written, "problems": [problem_json(p) for p in problems]}
        )
        return code
    _show(season, found, files)
    for problem in problems:
        tell(problem)
    return code


def _search(season: Season, on: datetime, gap: float | None, widest: bool, seconds: float) -> Plan:
    from planner.plan import season_plan

    with _interruptible() as stopped:
        found = season_plan.make_plan(
            season, on, gap=gap, widest=widest, seconds=seconds, progress=_progress(), stop=stopped.is_set
        )
    return replace(found, inputs=dict(season.digests))


@contextmanager
def _interruptible() -> Iterator[threading.Event]:
    """While planning, Ctrl-C asks for the best so far, and a second one gives up."""
    stopped = threading.Event()

    def interrupt(signum: int, frame: object) -> None:  # noqa: ARG001  (the form signal handlers have)
        if stopped.is_set():
            raise GivenUp
        stopped.set()
        with suppress(OSError, RuntimeError):  # a stream that is just being written may not be entered again
            tell("stopping: the best plan so far is kept; Ctrl-C again gives up")

    if threading.current_thread() is not threading.main_thread():
        yield stopped  # only the main thread may listen
        return
    old = signal.signal(signal.SIGINT, interrupt)
    try:
        yield stopped
    finally:
        signal.signal(signal.SIGINT, old)


def _progress() -> Any:
    last = ""

    def say(text: str) -> None:
        nonlocal last
        if text != last:
            tell(f"... {text}")
        last = text

    return say


def _verify(season: Season, found: Plan) -> None:
    """Stop a wrong plan here, before anybody sees it."""
    if wrong := list(breaches(season, found)):
        own = "the plan found breaks rules: that is a fault of hangplan, not yours; nothing was written"
        raise Refused([own, *(f"{b.where}: {b.what}" for b in wrong)])


def _store(season: Season, found: Plan, expect: str | None) -> None:
    store = Store(season.folder)
    with store.locked():
        if files := changed(season):
            verb = "was" if len(files) == 1 else "were"
            raise Refused([f"{' and '.join(files)} {verb} changed while planning: run plan again"])
        store.write(plan_file.FILE, plan_file.dump(found), expect)


def _outputs(season: Season, found: Plan, path: Path, fmt: str) -> tuple[list[Path], list[str]]:
    """Write map and move list; what fails there is told, for the plan itself is written and good."""
    from planner.report.moves import move_list

    files, problems = [season.folder / plan_file.FILE], []
    moves = season.folder / "out" / "moves.txt"
    for file in (path, moves):
        try:
            text = move_list(season, found).encode() if file is moves else draw_map(season, found, fmt)
            write_output(file, text)
            files.append(file)
        except StoreError as e:
            problems.append(f"{plan_file.FILE} was written, but {e}")
        except Refused as e:
            problems.append(f"{plan_file.FILE} was written, but not {shown(file)}: {e}")
    return files, problems


def exit_code(found: Plan) -> int:
    """Whether clashes or pupae left behind remain, and whether it is proved that some must."""
    remaining = {
        "clashes": bool(found.clashes),
        "left": any(x.name == "left" and x.value for x in found.proof),
    }
    unavoidable = {x.name for x in found.proof if x.bound}
    open_levels = [name for name, remains in remaining.items() if remains]
    if not open_levels:
        return DONE
    return IMPOSSIBLE if all(name in unavoidable for name in open_levels) else UNPROVED


def _show(season: Season, found: Plan, files: list[Path]) -> None:
    from planner.emergence import assumption, forecasts
    from planner.report.summary import summary
    from planner.report.text import paragraph

    show(summary(season, found, forecasts(season, found.on)))
    show(paragraph(f"Dates are reckoned with {assumption(season)}.", hang="  "))
    show(paragraph("Written: " + ", ".join(map(shown, files)), hang="  "))
    show(paragraph(f"Next: {_next(season, found)}", hang="  "))


def _next(season: Season, found: Plan) -> str:
    if found.clashes:
        return "state more spots in season.yaml, or allow less between neighbours (--gap), and plan again."
    if found.moves:
        return (
            f"print tags ('{call('tags', season.folder, '--moved')}'), move them by the list, then write "
            "where each hangs into pupae.csv (place, spot)."
        )
    return f"nothing to move; '{call('add', season.folder)}' records the next ones."


def _plain(value: Any) -> Any:
    """Dates as text, tuples as lists."""
    match value:
        case datetime() | date():
            return value.isoformat()
        case dict():
            return {k: _plain(v) for k, v in value.items()}
        case tuple() | list():
            return [_plain(v) for v in value]
    return value
