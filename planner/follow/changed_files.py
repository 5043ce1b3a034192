"""The input files that have changed since a season was opened, or since a plan was made."""

from __future__ import annotations

from planner.season.load import digest_now, inputs_of
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.words import call


def changed(season: Season) -> list[str]:
    """The names of files that have changed since the season was opened, sorted."""
    return sorted(n for n in inputs_of(season) if digest_now(season, n) != season.digests.get(n))


def stale(season: Season, plan: Plan) -> list[str]:
    """The names of input files that differ between a plan and the season, sorted."""
    names = {*plan.inputs, *season.digests}
    return sorted(n for n in names if plan.inputs.get(n) != season.digests.get(n))


def stale_text(season: Season, files: list[str]) -> str:
    """A sentence on files that have changed since the plan was made, with the advice to plan again.

    Parameters
    ----------
    files
        Their names; at least one.
    """
    names = " and ".join(files)
    verb = "was" if len(files) == 1 else "were"
    return f"{names} {verb} changed since the plan was made: '{call('plan', season.folder)}' makes a new one"
