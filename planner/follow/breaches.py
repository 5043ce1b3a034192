"""The rules that a plan breaks, as problems to be told with those of the files."""

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
    """A rule that a plan breaks: its name is ``where``. It is of no one line of the file."""

    def __str__(self) -> str:
        return f"{self.file}: {self.where}: {self.what}"


def breaches(season: Season, plan: Plan, *, claims: bool = False) -> Iterator[Problem]:
    """What the verifier finds, each with its rule's name.

    ``claims``: whether the plan's levels are judged as well: of one to be written, but not of one in force.
    An older hangplan may have counted them in another way, and by the rest of its plan one can hang.
    """
    for breach in verify(season, plan, claims=claims):
        yield Broken(plan_file.FILE, 0, 0, breach.rule, breach.what)
