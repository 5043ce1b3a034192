"""``check``: all faults of all files, and whether the plan in force may still be hung by.

With ``--json``: ``{"pupae": recorded, "present": still here, "plan": null or {"on", "stale": [file, ...]},
"breaches": [problem, ...], "notes": [text, ...], "problems": []}``; a breach has its rule as ``where``.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from planner.cli.options import Json, On, SeasonFolder, check_on, moment
from planner.cli.season_files import breaches, not_yet, open_season, stale, stale_text
from planner.cli.talk import DONE, FAULTY, call, command, problem_json, show, show_json
from planner.season import plan_file
from planner.season.plan_record import Plan
from planner.season.problems import FaultyFiles, Problem
from planner.season.season import Season


@command
def check(folder: SeasonFolder = Path(), on: On = None, json_form: Json = False) -> int:
    """Check all files of a season, and the plan in force against them.

    Example: hangplan check porch

    Ends with 1 when a file is faulty or the plan breaks a rule; a plan that is only stale is told.
    """
    check_on(on)
    season, plan = _open_all(folder)
    found = [] if plan is None else list(breaches(season, plan))
    files = [] if plan is None else stale(season, plan)
    notes = list(_notes(season, plan, moment(on, season)))
    code = FAULTY if found else DONE
    if json_form:
        show_json(
            {
                "pupae": len(season.pupae),
                "present": sum(p.present for p in season.pupae),
                "plan": None if plan is None else {"on": plan.on.isoformat(), "stale": files},
                "breaches": [problem_json(p) for p in found],
                "notes": notes,
                "problems": [],
            }
        )
        return code
    from planner.report.text import count, paragraph
    from planner.report.text import moment as moment_text

    present = sum(p.present for p in season.pupae)
    pupae = count(len(season.pupae), "pupa", "pupae")
    show(paragraph(f"{season.name}: the files are in order; {pupae} recorded, {present} present"))
    if plan is None:
        show(f"there is no plan yet: '{call('plan', folder)}' makes one")
    else:
        says = f"breaks the rules in {count(len(found), 'point')}" if found else "keeps every rule"
        show(paragraph(f"the plan of {moment_text(plan.on)} {says}"))
    for breach in found:
        show(str(breach))
    if plan is not None and files:
        show(paragraph(stale_text(season, files)))
    elif found:
        show(paragraph(f"'{call('plan', folder)}' makes a new one"))
    for note in notes:
        show(paragraph(f"note: {note}", hang="  "))
    return code


def _open_all(folder: Path) -> tuple[Season, Plan | None]:
    """Everything there is, or FaultyFiles with the problems of every file."""
    season, plan = None, None
    problems: list[Problem] = []
    try:
        season = open_season(folder)
    except FaultyFiles as e:
        problems += e.problems
    try:
        plan = plan_file.read(folder) if folder.is_dir() else None
    except FaultyFiles as e:
        problems += e.problems
    if season is None or problems:
        raise FaultyFiles(problems)
    return season, plan


def _notes(season: Season, plan: Plan | None, now: datetime) -> Iterator[str]:
    """What is allowed but should be known."""
    from planner.emergence import gap_texts, warnings
    from planner.report.text import ids

    yield from warnings(season)
    yield from gap_texts(season)
    if text := not_yet(season, now):
        yield text
    if plan is not None and (late := [m.pupa for m in plan.moves if m.not_after < now]):
        yield f"too late to be moved as planned, may be darkening: {ids(late)}"
