"""``check``: all faults of all files, and whether the plan in force may still be hung by.

With ``--json``: ``{"pupae": recorded, "present": still here, "plan": null or {"on", "stale": [file, ...],
"done": [step, ...], "to_do": [step, ...], "gone", "newcomers", "elsewhere", "redated": [id, ...]},
"breaches": [problem, ...], "notes": [text, ...], "problems": []}``; a breach has its rule as ``where``.
"""

from __future__ import annotations

from pathlib import Path

from planner.cli.shell.options import Json, On, SeasonFolder, check_on, moment
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.season import Season


@command
def check(folder: SeasonFolder = Path(), on: On = None, json_form: Json = False) -> int:
    """Check all files of a season, and the plan in force against them.

    Example: hangplan check porch

    More: hangplan check; hangplan check --on 2027-07-14T07:30 (as it is then).

    Of a plan carried out in part, what is left is checked. Ends with 1 when a file is faulty or that breaks
    a rule; what has changed since the plan was made is told. Next: hangplan plan, where it does.
    """
    check_on(on)
    season, plan = _open_all(folder)
    now = moment(on, season)

    from planner.cli.answers.check import answer

    return answer(season, plan, now, json_form=json_form)


def _open_all(folder: Path) -> tuple[Season, Plan | None]:
    """Everything there is, or FaultyFiles with the problems of every file."""
    season, plan = None, None
    problems: list[Problem] = []
    try:
        season = open_season(folder)
    except FaultyFiles as e:
        problems += e.found
    try:
        plan = plan_file.read(folder) if folder.is_dir() else None
    except FaultyFiles as e:
        problems += e.found
    if season is None or problems:
        raise FaultyFiles(problems)
    return season, plan
