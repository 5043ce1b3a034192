"""What ``plan`` leaves behind: map and move list in files, the summary on the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.cli.answers.rack_map import draw_to
from planner.cli.shell.talk import problem_json, show, show_json, show_paragraph, shown, tell
from planner.emergence import assumption, forecasts
from planner.record.refusal import Refused
from planner.report.texts.moves import move_list
from planner.report.texts.summary import summary
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.plan.reason_record import Explained
from planner.season.season import Season
from planner.season.store import StoreError, write_output
from planner.words import call, moment


def write_outputs(
    season: Season, plan: Plan, path: Path, fmt: str, *, asked: bool
) -> tuple[list[Path], list[str]]:
    """Write map and move list; what fails there is told, for the plan itself is written and good."""
    files, problems = [season.folder / plan_file.FILE], []
    try:
        files.append(draw_to(season, plan, path, fmt, asked=asked))
    except (StoreError, Refused) as e:
        why = e.fault if isinstance(e, StoreError) else e
        problems.append(f"{plan_file.FILE} was written, but not the map: {why}")
    moves = season.folder / "out" / "moves.txt"
    try:
        write_output(moves, move_list(season, plan).encode())
        files.append(moves)
    except StoreError as e:
        problems.append(f"{plan_file.FILE} was written, but not the move list: {e.fault}")
    return files, problems


def show_plan_json(plan: Plan, files: list[Path], problems: list[str], why: Explained) -> None:
    """``{"plan": {...}, "why": {...}, "files": [path, ...], "problems": [...]}``.

    The plan has the fields of `planner.season.plan.plan_record.Plan`: times local, lengths in cm, null where
    there is none. Problems are files that could not be written.
    """
    show_json(
        {
            "plan": _plain(asdict(plan)),
            "why": _plain(why.as_dict()),
            "files": [str(f) for f in files],
            "problems": [problem_json(p) for p in problems],
        }
    )


def show_plan(season: Season, plan: Plan, files: list[Path], problems: list[str]) -> None:
    """Print the summary, where the files are, and what to do next."""
    expected = forecasts(season, plan.on)
    show(summary(season, plan, expected))
    show_paragraph(f"Dates are reckoned by temperature: {assumption(season)}.")
    show_paragraph("Written: " + ", ".join(map(shown, files)))
    steps = list(_next(season, plan))
    soft = [f.firm_from for f in expected.values() if f.stage == "soft" and f.firm_from]
    if soft:
        steps.append(f"plan again from {moment(min(soft))}, when the next ones are firm")
    show_paragraph(f"Next: {'; '.join(steps) or 'nothing to do'}.")
    for problem in problems:
        tell(problem)


def _next(season: Season, plan: Plan) -> Iterator[str]:
    if plan.clashes:
        yield "choose one of the ways out and plan again, or watch the pairs that clash"
    if plan.moves:
        yield f"print tags ('{call('tags', season.folder, '--moved')}')"
        yield f"move them by the list, then '{call('done', season.folder)}' records it"
    if plan.waits:
        yield f"'{call('plan', season.folder, '--wait')}' on {moment(plan.waits[0].until)}"


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
