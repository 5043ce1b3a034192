"""Breaches of the verifier's rules by a plan, as problems to be reported with those of the files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.reading.problems import Problem
from planner.season.season import Season
from planner.verify import verify


@dataclass(frozen=True, order=True)
class Broken(Problem):
    """A breach of one of the verifier's rules by ``plan.yaml``; ``where`` is the name of the rule.

    It concerns no single line of the file, so none is told.
    """

    def __str__(self) -> str:
        return f"{self.file}: {self.where}: {self.what}"


def breaches(season: Season, plan: Plan, *, claims: bool = False) -> Iterator[Problem]:
    """The breaches that the verifier finds, as problems.

    Parameters
    ----------
    claims
        Whether what the plan claims of its own levels is judged as well. It is for a plan about to be
        written, but not for one in force: an older hangplan may have counted its levels differently, which
        harms no pupa.

    Raises
    ------
    ValueError
        A species has no profile.
    FaultyFiles
        The temperatures cannot be read.
    """
    for breach in verify(season, plan, claims=claims):
        yield Broken(plan_file.FILE, 0, 0, breach.rule, breach.what)
