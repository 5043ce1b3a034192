"""Which files are not any more as a plan, or a search for one, was given them."""

from __future__ import annotations

from planner.season.load import digest_now, inputs_of
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.words import call


def changed(season: Season) -> list[str]:
    """Files that are not any more as they were when the season was opened."""
    return sorted(n for n in inputs_of(season) if digest_now(season, n) != season.digests.get(n))


def stale(season: Season, plan: Plan) -> list[str]:
    """Files that have changed since the plan was made from them."""
    names = {*plan.inputs, *season.digests}
    return sorted(n for n in names if plan.inputs.get(n) != season.digests.get(n))


def stale_text(season: Season, files: list[str]) -> str:
    """``pupae.csv was changed since the plan was made: 'hangplan plan' makes a new one``."""
    names = " and ".join(files)
    verb = "was" if len(files) == 1 else "were"
    return f"{names} {verb} changed since the plan was made: '{call('plan', season.folder)}' makes a new one"
