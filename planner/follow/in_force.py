"""The part of the plan in force that still holds after pupae were moved, have emerged or have come."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from planner.follow.breaches import breaches
from planner.follow.changed_files import stale
from planner.follow.harmful_steps import without_harm
from planner.follow.progress import Progress
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan, TooClose
from planner.season.pupae import table
from planner.season.reading.problems import Problem
from planner.season.season import Season
from planner.words import call, natural

MOST_PAIRS = 12  # named; the rest is counted


@dataclass(frozen=True)
class InForce:
    """A plan held against the season as it is now.

    ``files``: inputs changed since it was made. ``progress``: None where none was. ``rest``: what is left of
    it, with the steps' numbers of the move list. ``found``: the rules that the rest breaks: where there is
    one it is not shown. ``close``: pairs too close because one of them hangs elsewhere than planned.
    ``refused``: steps that would do harm now, left out of the rest; ``fresh``: pairs that clash now by what
    was recorded since, though no step touches them.
    """

    season: Season
    plan: Plan
    files: list[str]
    progress: Progress | None
    rest: Plan
    found: list[Problem]
    close: list[TooClose]
    refused: list[Problem] = field(default_factory=list)
    fresh: list[TooClose] = field(default_factory=list)

    @property
    def withheld(self) -> set[str]:
        """Whose steps are left out of the rest, because they would do harm or come after such."""
        return set() if self.progress is None else set(self.progress.rest.movers) - set(self.rest.movers)

    @property
    def old(self) -> bool:
        """Whether it lacks somebody, or has somebody or a day wrong: a new plan would say something else."""
        p = self.progress
        return bool(p and (p.newcomers or p.elsewhere or p.redated or self.refused or self.fresh))

    @property
    def other_files(self) -> list[str]:
        """Inputs changed since it was made, other than the table of pupae."""
        return [] if self.progress is None else [name for name in self.files if name != table.FILE]

    def changes(self) -> Iterator[str]:
        """What has changed since the plan was made; nothing where nothing has."""
        if self.progress is None:
            return
        others = self.other_files
        if words := "; ".join(self.progress.words()):
            yield f"since then: {words}"
        elif not others:
            yield f"{table.FILE} was changed since the plan was made, in nothing that concerns it"
        if others:
            verb = "was" if len(others) == 1 else "were"
            yield f"{' and '.join(others)} {verb} changed since the plan was made"
        if self.fresh:
            yield f"these clash now where they hang: {_pairs(self.fresh)}"

    def not_done(self) -> Iterator[str]:
        """The steps that are refused, each with its reason."""
        for problem in self.refused:
            yield f"not to be done any more, the other steps go on: {problem.what}"

    def advice(self, broken: bool = False) -> Iterator[str]:
        """What to do about it: plan again, where a rule is broken or something else would be said."""
        if broken or self.found or self.old or self.other_files:
            yield f"'{call('plan', self.season.folder)}' makes a new one"

    def note(self) -> str:
        """One sentence for those who are shown the rest; empty where that is all there is to know."""
        return "; ".join([*self.not_done(), *self.changes(), *self.advice()]) if self.old else ""


def _pairs(pairs: Sequence[TooClose]) -> str:
    named = [" and ".join(sorted((c.a, c.b), key=natural)) for c in pairs[:MOST_PAIRS]]
    more = len(pairs) - MOST_PAIRS
    return ", ".join(named) + (f", and {more} more" if more > 0 else "")


def judge(season: Season, plan: Plan) -> InForce:
    """Find what is left of a plan, and have the verifier look at that."""
    files = stale(season, plan)
    if not files:
        return InForce(season, plan, [], None, plan, list(breaches(season, plan)), [])
    progress = Progress(season, plan)
    rest = without_harm(season, progress)
    off = set(progress.elsewhere)
    new = set(progress.newcomers)
    close = [c for c in rest.pairs if {c.a, c.b} & off and not {c.a, c.b} & new]
    fresh = [c for c in rest.pairs if c not in close]
    return InForce(season, plan, files, progress, rest.plan, rest.found, close, rest.refused, fresh)


def plan_that_holds(season: Season) -> tuple[Plan | None, str]:
    """What the plan still asks for, if the verifier passes that; else None, and why there is none.

    With a plan the text may tell in what it is old. Raises FaultyFiles when ``plan.yaml`` cannot be read.
    """
    plan = plan_file.read(season.folder)
    if plan is None:
        return None, f"there is no plan yet: '{call('plan', season.folder)}' makes one"
    found = judge(season, plan)
    if found.found:
        again = f"'{call('plan', season.folder)}' makes a new one, '{call('check', season.folder)}' says why"
        return None, f"the plan in force cannot be hung by any more: {again}"
    return found.rest, found.note()
