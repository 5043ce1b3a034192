"""The plan in force as it may be drawn: verified, without steps for which it is too late."""

from __future__ import annotations

from pathlib import Path

from planner.cli.shell.options import moment
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show, show_json, shown, tell_paragraph
from planner.emergence import forecasts
from planner.follow.in_force import judge
from planner.follow.too_late import too_late, without_late
from planner.record.refusal import Refused
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.words import Advised, Help, call, ids, no_plan_yet, void_steps


def open_verified(folder: Path) -> tuple[Season, Plan, Advised | None]:
    """A season, what is left of its plan in force, and in what that is old.

    Only what the verifier passes is shown: raises Refused with all it finds.
    """
    season = open_season(folder)
    plan = plan_file.read(folder)
    if plan is None:
        raise Refused([no_plan_yet(folder)])
    state = judge(season, plan)
    if state.found:
        makes = Help("plan", folder, "makes a new one")
        again = Advised("the plan in force cannot be hung by", (makes,))
        raise Refused([*state.found, *state.changes(), again])
    return season, state.rest, state.note()


def on_paper(season: Season, plan: Plan, old: Advised | None, on: str | None) -> Plan:
    """What to draw of a plan: no step for which it is too late. Says how it is old, and who that is."""
    if old:
        tell_paragraph(str(old))
    if text := void_steps(plan.void):
        tell_paragraph(text)
    known = forecasts(season, moment(on, season))
    if late := too_late(plan, known):
        again = f"'{call('plan', season.folder)}'"
        tell_paragraph(f"not to be moved any more, may be darkening: {ids(late)}: {again}")
    return without_late(season, plan, known)


def wrote(path: Path, json_form: bool) -> None:
    """Say which file was written."""
    if json_form:
        show_json({"files": [str(path)]})
    else:
        show(f"wrote {shown(path)}")
