"""``plan``: make the plan, have it verified, and only then write and show it.

With ``--json``: see `planner.cli.answers.plan.show_plan_json`.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.cli.shell import watcher
from planner.cli.shell.interrupts import GivenUp, Stopped, interruptible, stoppable
from planner.cli.shell.options import (
    Explain,
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
)
from planner.cli.shell.search_options import read_evenings, read_memory
from planner.cli.shell.season_files import open_season
from planner.cli.shell.solver_log import Models, Watched
from planner.cli.shell.talk import command, tell, usage
from planner.cli.shell.terminal import progress
from planner.draw.paper.formats import FORMATS
from planner.engine.model import budget
from planner.engine.model.faults import InvalidModel
from planner.record.cleaned import closed_note
from planner.record.left_in_other_unit import other_unit
from planner.record.refusal import DONE, FAULTY, IMPOSSIBLE, STOPPED, UNPROVED, Refused
from planner.record.still_to_come import not_yet
from planner.season.load import digest
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.plan.reason_record import Explained
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season
from planner.season.store.disk import read_bytes
from planner.words import Advised, Help, call

MOST_SECONDS = 86_400
_FAILED = (MemoryError, InvalidModel, AssertionError)  # the last: a check of the engine's own


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
    rehang: Annotated[
        bool,
        typer.Option("--rehang", help="Move those that hang already too, if it leaves fewer clashes."),
    ] = False,
    wait: Annotated[
        bool,
        typer.Option("--wait", help="Leave some on their lids for a day: as --evenings 2."),
    ] = False,
    evenings: Annotated[
        str | None,
        typer.Option(
            metavar="N",
            help="Plan over so many evenings, this one too.",
            show_default="as many as are needed, where not all can be hung today",
        ),
    ] = None,
    seconds: Annotated[float, typer.Option(metavar="N", help="How long to try.")] = 60.0,
    memory: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE", help="Memory for it: 2G, 500M.", show_default="a quarter of what there is"
        ),
    ] = None,
    explain: Explain = False,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
    verbose: Annotated[
        bool, typer.Option("--verbose", help="Show the solver's log, and tracebacks, on stderr.")
    ] = False,
    dump_model: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the solver's models: FILE-1, FILE-2 and so on."),
    ] = None,
) -> int:
    """Plan where each pupa hangs, and in which order to move them.

    Example: hangplan plan porch

    More: hangplan plan --gap 1.5 (another gap); hangplan plan --rehang (those that hang already may move);
    hangplan plan --evenings 4 (some may wait on their lids for a spot, at most three days).

    It writes plan.yaml, the map and the move list. Ctrl-C ends the search and keeps the best plan so far; a
    second one gives up. -o names the map (.png, .svg, .pdf). Ends with 3 when clashes are left, or pupae on a
    lid to be cleared that are neither soft nor told to wait, and that is proved unavoidable; with 4 when it
    is not proved. Next: hangplan tags --moved, and hangplan done when they are moved.

    --dump-model model.txt writes what is asked of the solver, in its text form, to model-1.txt, model-2.txt
    and so on; the first line of each tells what it asks.
    """
    check_on(on)
    if gap is not None and not 0 <= gap <= 60:
        usage(f"--gap: {gap:g}: allowed is 0 to 60 days")
    if not 0 < seconds <= MOST_SECONDS:
        usage(f"--seconds: {seconds:g}: allowed is more than 0 and at most {MOST_SECONDS}")
    span = read_evenings(evenings, wait, budget.EVENINGS_MOST)
    most = read_memory(memory)
    path, fmt = output_file(output, folder / "out" / "map.png", FORMATS)
    season = open_season(folder)
    before = read_bytes(folder, plan_file.FILE, plan_file.LARGEST)
    expect = None if before is None else digest(before)
    if not any(p.present for p in season.pupae):
        raise Refused([Advised("no pupa is present", (Help("add", folder, "records some"),))])

    now = moment(on, season)

    from planner.cli.answers.plan_store import ready, store, verify
    from planner.emergence import doubts, temperature_notes

    ready(season, path)
    if text := not_yet(season, now):
        tell(f"{text}; --on DATE sets another now")
    for text in (*temperature_notes(season, now), *closed_note(season), *other_unit(season)):
        tell(text)
    for doubt in doubts(season, now):
        tell(str(doubt))
    watched = Watched(verbose, None if dump_model is None else Models(dump_model))
    with interruptible(tell) as asked:
        try:
            choices: dict[str, Any] = {"widest": widest, "rehang": rehang, "evenings": span, "memory": most}
            choices["before"] = _readable(before)
            found = _search(season, now, seconds, lambda: asked.stopped, gap, choices, expect, watched)
            verify(season, found)
        except GivenUp:
            tell("given up: nothing was written")
            return STOPPED
        except _FAILED as e:
            watched.failed(e)
            raise Refused([f"{_failed(e)}; nothing was written"]) from None
        asked.held = True
        written = store(season, found, expect)
        watcher.written()
    try:  # the plan is safe by now
        with stoppable():
            from planner.cli.answers.plan import show_plan, show_plan_json, write_outputs

            files, problems = write_outputs(season, found, path, fmt, asked=output is not None)
            why = Explained()
            if exit_code(found) != DONE and asked.stopped:
                again = f"'{call('plan', folder)}' without Ctrl-C looks for it"
                tell(f"why there are clashes was not looked for: {again}")
            elif exit_code(found) != DONE:
                from planner.cli.answers.explained import explained, store_again

                why = _explain(season, found, seconds, most, watched)
                found = explained(season, found, why)
                store_again(season, found, written)
    except Stopped:
        tell(f"stopped: {plan_file.FILE} is written, but perhaps not the map and the move list")
        return STOPPED
    except MemoryError:
        tell(f"{plan_file.FILE} is written, but there is not enough memory for the map and the move list")
        return FAULTY
    except ImportError as e:  # for lack of memory, most likely
        tell(f"{plan_file.FILE} is written, but not the map and the move list: a part cannot be loaded ({e})")
        return FAULTY
    watched.tell_models()
    if json_form:
        show_plan_json(season, found, files, problems, why)
    else:
        show_plan(season, found, files, problems, explain=explain)
    return FAULTY if problems else exit_code(found)


def _readable(before: bytes | None) -> Plan | None:
    """The plan in force; None where there is none that can be read: it stops no new one."""
    try:
        return None if before is None else plan_file.parse(before)
    except FaultyFiles:
        tell(f"The old {plan_file.FILE} cannot be read, so tags printed by it may not hold any more.")
        return None


def _search(
    season: Season,
    on: datetime,
    seconds: float,
    stop: Callable[[], bool],
    gap: float | None,
    choices: dict[str, Any],
    expect: str | None,
    watched: Watched,
) -> Plan:
    """The plan found; where the search fails the best so far, or one that is hardly searched for."""
    from planner.planning import make_plan as season_plan  # the solver: Ctrl-C is listened to by now

    best: list[Plan] = []

    def on_incumbent(plan: Plan) -> None:
        best[:] = [plan]
        watcher.keep(season.folder, expect, plan_file.dump(plan))

    def make(seconds: float) -> Plan:
        wanted: dict[str, Any] = {
            "gap": gap,
            "progress": say,
            "stop": stop,
            "on_incumbent": on_incumbent,
            **choices,
        }
        wanted |= {"log": watched.log, "dump": watched.dump}
        return season_plan.make_plan(season, on, seconds=seconds, **wanted)

    # While the solver works, outside Python, there is time to load what draws the map.
    threading.Thread(target=_load_drawing, daemon=True).start()
    with progress(sys.stderr, tell) as say:
        failed = ""
        try:
            found = make(seconds)
        except _FAILED as e:
            watched.failed(e)
            failed = _failed(e)
        if failed and best:  # only here, where the models that failed are gone with their error
            tell(f"{failed}; the best plan so far is kept")
            found = best[0]
        elif failed:
            tell(f"{failed}; planning with hardly any search")
            found = make(budget.UNSEARCHED)
    return replace(found, inputs=dict(season.digests))


def _explain(
    season: Season, found: Plan, seconds: float, memory: float | None, watched: Watched
) -> Explained:
    from planner.engine.model.solver import Clock, Effort
    from planner.planning.infeasible.ways_out import explain_plan

    try:
        with progress(sys.stderr, tell) as say, interruptible(tell) as asked:
            clock = Clock(
                min(budget.EXPLAINING_MOST, budget.EXPLAINING_SHARE * seconds), lambda: asked.stopped
            )
            effort = Effort(clock, progress=say, log=watched.log, dump=watched.dump, memory=memory)
            return explain_plan(season, found, effort)
    except GivenUp:
        return Explained()
    except _FAILED as e:
        watched.failed(e)
        tell(f"{_failed(e)}; the plan is written, but not why there are clashes")
        return Explained()


def _failed(error: Exception) -> str:
    """What a keeper is told of a solver that could not go on."""
    if isinstance(error, MemoryError):
        return "the search needs more memory than there is: close other programs and try again"
    if isinstance(error, InvalidModel):
        return f"the search failed ({error}): that is a fault of hangplan, not yours"
    check = f" ({error})" if str(error) else ""
    return f"hangplan failed a check of its own{check}: that is a fault of hangplan, not yours"


def _load_drawing() -> None:
    with suppress(Exception):  # told in its place, when the map is drawn
        import planner.draw.map.rack_map  # noqa: F401


def exit_code(found: Plan) -> int:
    """Whether clashes or pupae left behind remain, and whether it is proved that some must."""
    remaining = {"clashes": bool(found.clashes), "left": found.leaves_some}
    unavoidable = {x.name for x in found.proof if x.bound}
    open_levels = [name for name, remains in remaining.items() if remains]
    if not open_levels:
        return DONE
    return IMPOSSIBLE if all(name in unavoidable for name in open_levels) else UNPROVED
