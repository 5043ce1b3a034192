"""The part of the plan in force that still holds after pupae were moved, have emerged or were added."""

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
from planner.words import Advised, Help, natural, no_plan_yet

MOST_PAIRS = 12  # pairs named in a message; the others are only counted


@dataclass(frozen=True)
class InForce:
    """A plan compared with the season as it is now.

    Attributes
    ----------
    files
        Names of the input files that have changed since it was made.
    progress
        How far it was carried out; None where no file has changed.
    rest
        What is left of it. Steps keep their numbers of the move list.
    found
        The breaches of rules by the rest. It is not shown where there are any.
    close
        Pairs too close because one of the two hangs elsewhere than planned.
    refused
        Steps left out of the rest because they would do harm now.
    fresh
        Pairs that clash now by what was recorded since, though no step touches them.
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
        """Ids of the pupae whose steps are left out, as harmful or as coming after a harmful one."""
        return set() if self.progress is None else set(self.progress.rest.movers) - set(self.rest.movers)

    @property
    def old(self) -> bool:
        """Whether a new plan would differ from it.

        It would when pupae were added, hung elsewhere or redated, steps are refused, or new pairs clash.
        """
        p = self.progress
        return bool(p and (p.newcomers or p.elsewhere or p.redated or self.refused or self.fresh))

    @property
    def other_files(self) -> list[str]:
        """Names of input files changed since it was made, other than the table of pupae."""
        return [] if self.progress is None else [name for name in self.files if name != table.FILE]

    def changes(self) -> Iterator[str]:
        """What has changed since the plan was made, in words; empty where nothing has."""
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
        """The steps that are refused, each with its reason, in words."""
        for problem in self.refused:
            yield f"not to be done any more, the other steps go on: {problem.what}"

    def advice(self, broken: bool = False) -> Iterator[Help]:
        """The advice to plan again, where a rule is broken or a new plan would differ; else empty.

        Parameters
        ----------
        broken
            Whether a problem was found elsewhere.
        """
        if broken or self.found or self.old or self.other_files:
            yield Help("plan", self.season.folder, "makes a new one")

    def note(self) -> Advised | None:
        """A note for those who are shown the rest; None where a new plan would not differ."""
        if not self.old:
            return None
        return Advised("; ".join([*self.not_done(), *self.changes()]), tuple(self.advice()), "; ")


def _pairs(pairs: Sequence[TooClose]) -> str:
    """The first `MOST_PAIRS` of some pairs by their ids, and how many more there are."""
    named = [" and ".join(sorted((c.a, c.b), key=natural)) for c in pairs[:MOST_PAIRS]]
    more = len(pairs) - MOST_PAIRS
    return ", ".join(named) + (f", and {more} more" if more > 0 else "")


def judge(season: Season, plan: Plan) -> InForce:
    """What is left of a plan as the season is now, with the verifier's findings on it.

    Raises
    ------
    ValueError
        A species has no profile.
    FaultyFiles
        The temperatures cannot be read.
    """
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


def plan_that_holds(season: Season) -> tuple[Plan | None, Advised | None]:
    """What is left of the plan in force, and a note on it; None where it cannot be followed, and why.

    Where there is a plan, the note says in what it is out of date; there may be none.

    Raises
    ------
    ValueError
        A species has no profile.
    FaultyFiles
        ``plan.yaml`` or the temperatures cannot be read.
    """
    plan = plan_file.read(season.folder)
    if plan is None:
        return None, no_plan_yet(season.folder)
    found = judge(season, plan)
    if found.found:
        helps = (Help("plan", season.folder, "makes a new one"), Help("check", season.folder, "says why"))
        return None, Advised("the plan in force cannot be hung by any more", helps)
    return found.rest, found.note()
