"""Pupae deferred: the fewest to be left on their lids for a day, so that nobody who is hung clashes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from planner.emergence import Forecast
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort
from planner.engine.search import deferral
from planner.planning.problem.season_problem import SeasonProblem, hangs_already
from planner.season.reading.told_dates import moment

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Deferred:
    """Ids of the pupae deferred, until when at least, and how few evenings that is proved to be.

    ``clashes``: fewer than so many are impossible, whoever is deferred; ``left``: so many are left
    where these are.
    """

    pupae: tuple[str, ...]
    until: datetime
    level: Level
    clashes: int
    left: int


def deferrable(problem: SeasonProblem, on: datetime) -> set[str]:
    """The ids of those who can still be moved a day later: on a lid, not darkening by then, even if early."""
    found = set()
    for name in (problem.ids[i] for i in problem.instance.free_items):
        due, dark = problem.now[name].due, problem.now[name].dark_from
        early = dark - (due.median - due.low) if due and dark else dark
        if (early is None or on + DAY < early) and not hangs_already(
            problem.season.pupa[name], problem.season
        ):
            found.add(name)
    return found


def fewest_deferred(
    problem: SeasonProblem, on: datetime, days: float, effort: Effort
) -> tuple[Deferred | None, bool]:
    """The pupae to defer for the fewest clashes and evenings on lids; None: nobody, or not found out.

    Also whether it is proved that some clash whoever is deferred. Evenings on the lid are counted from when
    a pupa is firm, so that one deferred before is hung rather than some that came after it.
    """
    able = deferrable(problem, on)
    evenings = {
        i: evenings_on_lid(problem.now[problem.ids[i]], on)
        for i in problem.instance.free_items
        if problem.ids[i] in able
    }
    found, sure = deferral.fewest_deferred(problem.instance, days, evenings, effort)
    if found is None:
        return None, sure
    ids = tuple(sorted(problem.ids[i] for i in found.items))
    return Deferred(ids, on + DAY, found.level, found.clashes, found.left), sure


def evenings_on_lid(forecast: Forecast, on: datetime) -> int:
    """The number of evenings a pupa will have spent on its lid once firm, tonight's too."""
    assert forecast.firm_from is not None  # else it would stay
    return 1 + (on - forecast.firm_from) // DAY


def with_deferred(now: Mapping[str, Forecast], who: Collection[str], until: datetime) -> dict[str, Forecast]:
    """The forecasts ``now``, in which those deferred are as little to be touched as if they were soft."""
    why = f"waits on its lid for a spot until {moment(until)}"
    return {
        name: replace(f, stage="waiting", firm_from=until, why=why) if name in who else f
        for name, f in now.items()
    }
