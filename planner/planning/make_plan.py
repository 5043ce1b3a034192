"""A season's plan: all objectives in lexicographic order, and moves that can be done."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import NormalDist, fmean

from planner.emergence import Forecast, forecasts
from planner.engine.affordable_lexicographic import affordable_lexicographic
from planner.engine.model import budget
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty
from planner.engine.model.solver import Clock, Effort, Model
from planner.engine.search.lexicographic import Solution, ignore_incumbent
from planner.planning.deferral import Deferred, fewest_deferred, with_deferred
from planner.planning.incumbent import IncumbentReporter
from planner.planning.objectives.prior_moves import PriorMoves, with_stability
from planner.planning.objectives.secondary import solve_secondary
from planner.planning.plan_builder import PlanBuilder
from planner.planning.problem.season_problem import SeasonProblem, season_problem
from planner.planning.relaxation import as_proved_before, no_better_than
from planner.season import Plan, Season, Stuck


def make_plan(
    season: Season,
    on: datetime,
    *,
    gap: float | None = None,
    widest: bool = False,
    rehang: bool = False,
    evenings: int | None = 1,
    seconds: float = 60,
    seed: int = 0,
    workers: int | None = None,
    memory: float | None = None,
    before: Plan | None = None,
    progress: Callable[[str], None] | None = None,
    stop: Callable[[], bool] | None = None,
    on_incumbent: Callable[[Plan], None] | None = None,
    log: Callable[[str], None] | None = None,
    dump: Callable[[Model], None] | None = None,
) -> Plan:
    """The plan of where everybody hangs as of ``on``.

    Parameters
    ----------
    on
        Now: what is known of each pupa is as of then.
    gap
        Days between neighbours' dues; None: the season's gap or risk.
    widest
        Make the smallest gap as wide as possible before touching as few as possible.
    rehang
        Whether those that hang already may be moved as well, where that leaves fewer clashes.
    evenings
        Over which is planned, this one too: the fewest are left on their lids till a later one, where that
        leaves fewer clashes now and then. None: as many as are needed, where not all can be hung this
        evening; nobody then is left for whom no spot may come free.
    seconds
        For all objectives together; secondary ones get small shares.
    memory
        Bytes that the models of the solver may take; None: a quarter of what there is.
    before
        The plan in force: its moves that are not made yet keep their spots where no level before `stability`
        gets worse by that.
    progress, stop
        Told what is being looked for; asked whether to end at once with the incumbent.
    on_incumbent
        Told a whole plan now and then, the incumbent, in case that the search does not come to its end.
    log, dump
        Told each line of the solver's search log; given each model before it is solved.

    Notes
    -----
    Objectives in order, each fixed before the next: nobody left on a lid to be cleared; fewest clashes;
    those least likely to emerge together; fewest touched; fewest moves of the plan before changed; room
    for those to come; least risk that neighbours dry their wings together; elbow room for hands; least
    carrying, in order of date. With ``widest`` the smallest gap comes before those touched, and room before
    both.
    """
    risk = season.risk if gap is None else None
    days = 0.0 if risk is not None else season.gap_days if gap is None else gap
    now = forecasts(season, on)
    asked = _Planning(
        season, on, gap, days, risk, now, evenings,
        rehang=rehang,
        widest=widest,
        before=before,
        penalty=None if risk is not None else _penalty(now),
        effort=Effort(Clock(seconds, stop), seed, workers, progress, log, dump, memory),
        reporter=IncumbentReporter(on_incumbent, len(season.pupae)),
    )  # fmt: skip
    evening = asked.this_evening()
    stuck: dict[str, str] = {}
    ideal: Plan | None = None
    while True:
        plan, cannot = asked.plan(evening, stuck)
        if not cannot:
            break
        # Next best: without those for whom no order of moves works. It can at best be what was found now.
        asked.effort.say("looking for moves that can be done one after another")
        stuck |= cannot
        ideal = ideal or plan
    left_there = tuple(Stuck(pupa=pupa, why=why) for pupa, why in sorted(stuck.items()))
    proof = tuple(no_better_than(plan.proof, ideal.proof)) if ideal else plan.proof
    plan = replace(plan, stuck=left_there, proof=proof)
    return as_proved_before(plan, before, evening.builder.now)


@dataclass(frozen=True)
class _Evening:
    """Who is hung this evening, by the first levels.

    ``problem_of``: the problem with those free that hang, or with others pinned.
    """

    problem: SeasonProblem
    solution: Solution
    builder: PlanBuilder
    settings: dict[str, float]
    problem_of: Callable[[bool, Collection[str]], SeasonProblem]

    def left_and_clashing(self, days: float) -> tuple[int, int]:
        """How many are left on lids to be cleared, and how many pairs clash."""
        return _left_and_clashing(self.problem, self.solution, days)


@dataclass(frozen=True, eq=False)
class _Planning:
    """What is asked of a plan: the parameters of `make_plan`, and what follows from them.

    Attributes
    ----------
    days
        The gap; 0 where a risk is asked for instead.
    now
        The forecasts as of ``on``.
    """

    season: Season
    on: datetime
    gap: float | None
    days: float
    risk: float | None
    now: dict[str, Forecast]
    evenings: int | None
    rehang: bool
    widest: bool
    before: Plan | None
    penalty: Penalty | None
    effort: Effort
    reporter: IncumbentReporter

    @property
    def ahead(self) -> int:
        """The number of evenings on which those of tonight may be hung."""
        return budget.EVENINGS_AHEAD if self.evenings is None else self.evenings

    def this_evening(self) -> _Evening:
        """The first levels, with those deferred who are to be left for a later evening."""
        span, days = self.evenings or 1, self.days
        deferred: Deferred | None = None
        if span > 1:
            whole = season_problem(self.season, self.now, self.risk, on=self.on, gap=self.gap)
            deferred, _ = fewest_deferred(whole, self.on, days, self.effort, span, before=self.before)
        evening = self._hung(deferred, span, budget.EVENING_SHARE if self.evenings is None else 1.0)
        if self.evenings is not None or evening.solution.feasible:
            return evening
        deferred, _ = fewest_deferred(
            evening.problem,
            self.on,
            days,
            self.effort,
            self.ahead,
            unplaced=False,
            most=int(evening.solution.level("clashes").value or 0),
            before=self.before,
        )
        later = self._hung(deferred, self.ahead) if deferred else evening
        fewest, left = evening.left_and_clashing(days), later.left_and_clashing(days)
        # Nobody is deferred for more clashes on this evening.
        return later if left < fewest and left[1] <= fewest[1] else evening

    def _hung(self, deferred: Deferred | None, span: int, share: float = 1.0) -> _Evening:
        """The first levels where those are deferred, of a plan over so many evenings."""
        own = with_deferred(self.now, deferred.until) if deferred else self.now

        def problem_of(rehang: bool = False, also_pinned: Collection[str] = ()) -> SeasonProblem:
            found = season_problem(
                self.season,
                own,
                self.risk,
                on=self.on,
                gap=self.gap,
                rehang=rehang,
                also_pinned=also_pinned,
                placed=deferred.spots if deferred else (),
            )
            return deferred.in_mind(found, self.days) if deferred else found

        builder = PlanBuilder(
            self.season, own, self.on, self.days, deferred, self.ahead, self.penalty, self.before
        )
        settings, problem = _settings(self.season, self.risk, span), problem_of()
        report = self.reporter.callback(builder, problem, settings, claiming=not self.rehang)
        effort = replace(self.effort, clock=self.effort.clock.part(share))
        solution = affordable_lexicographic(problem.instance, self.days, effort, self.penalty, report)
        return _Evening(problem, solution, builder, settings, problem_of)

    def plan(self, evening: _Evening, stuck: Collection[str]) -> tuple[Plan, Mapping[str, str]]:
        """The plan without those who are ``stuck``; and who else is, by id with the reason."""
        problem, solution, levels, settings = self._first_levels(evening, stuck)
        clashing = evening.left_and_clashing(self.days) > (0, 0)
        prior = PriorMoves(problem, self.before, self.rehang and problem is evening.problem and clashing)
        widen = self.widest and solution.feasible and problem.movable
        if prior.to_make and not widen:
            solution, least = with_stability(
                prior, problem.instance, solution, self.days, self.penalty, self.effort
            )
            levels = [*_as_reached(levels, solution), prior.level(solution.spot_of, least)]
        spot_of, reservations = solution.spot_of, None
        if problem.movable or problem.instance.coming:
            told = self.reporter.callback(evening.builder, problem, settings)
            report = ignore_incumbent if stuck else told
            spot_of, levels, reservations = solve_secondary(
                problem, solution, levels, self.days, self.penalty, widen, prior, self.effort, report
            )
        return evening.builder.plan(problem, spot_of, levels, reservations, settings)

    def _first_levels(
        self, evening: _Evening, stuck: Collection[str]
    ) -> tuple[SeasonProblem, Solution, list[Level], dict[str, float]]:
        """The evening as it is or, where that leaves fewer clashes, with those re-hung who hang already."""
        own = evening.problem, evening.solution
        fewest = evening.left_and_clashing(self.days)
        if not self.rehang or fewest <= (0, 0):
            return *own, list(evening.solution.levels), evening.settings
        again = evening.problem_of(True, stuck)
        better = evening.solution  # the answer is the same where nobody that hangs may be moved
        if again.instance.price:
            better = affordable_lexicographic(again.instance, self.days, self.effort, self.penalty)
        settings = {
            **evening.settings,
            "rehang_price": self.season.rehang_price,
            "clashes_without_rehang": fewest[1],
        }
        if _left_and_clashing(again, better, self.days) < fewest:
            return again, better, list(better.levels), settings
        return *own, list(_bounded_if_rehung(own, (again, better), self.days)), settings


def _as_reached(levels: Iterable[Level], solution: Solution) -> Iterator[Level]:
    """The levels with the values of ``solution``, which has no less."""
    values = {level.name: level.value for level in solution.levels}
    for level in levels:
        value = values.get(level.name, level.value)
        yield replace(level, value=value, proved=value == level.bound)


def _left_and_clashing(problem: SeasonProblem, solution: Solution, days: float) -> tuple[int, int]:
    """How many are left on lids to be cleared, and how many pairs clash, those not to be touched included."""
    clashing = len(problem.too_close(solution.spot_of, days)[0])
    left = sum(int(level.value or 0) for level in solution.levels if level.name == "left")
    return left, clashing


def _bounded_if_rehung(
    own: tuple[SeasonProblem, Solution], rehung: tuple[SeasonProblem, Solution], days: float
) -> Iterator[Level]:
    """The levels of ``own``, claiming no more than is proved where those that hang may be moved as well."""
    pinned_here, pinned_rehung = (
        _left_and_clashing(*both, days)[1] - int(both[1].level("clashes").value or 0)
        for both in (own, rehung)
    )
    left = [level for level in rehung[1].levels if level.name == "left"]
    least = int(rehung[1].level("clashes").bound or 0) + pinned_rehung - pinned_here
    if not all(level.proved for level in left):  # with fewer left behind there may be fewer clashes or more
        least = -pinned_here
    known = {"clashes": least} | {level.name: int(level.bound or 0) for level in left}
    reached = True
    for level in own[1].levels:
        # Where fewer clashes may be had by re-hanging, that plan may touch fewer as well.
        nothing = -pinned_here if level.name == "clashes" else 0  # those that hang may be parted, too
        bound = min(level.bound or 0, known.get(level.name, level.bound or 0)) if reached else nothing
        reached = reached and level.value == bound
        yield replace(level, bound=bound, proved=level.value == bound)


def _settings(season: Season, risk: float | None, evenings: int) -> dict[str, float]:
    stated = {"wing_reach": season.wing_reach, "drop": season.drop, "clearance": season.clearance}
    stated["elbow_room"] = season.least_elbow_room
    if evenings > 1:
        stated["evenings"] = evenings
    return stated if risk is None else {**stated, "risk": risk}


def _penalty(now: dict[str, Forecast]) -> Penalty:
    """Chance in thousandths that two due so many days apart emerge within half a day of one another.

    Two independent normal emergences with the mean standard deviation of these pupae.
    """
    spread = math.sqrt(2) * max(0.1, fmean([f.due.sd for f in now.values() if f.due] or [1.0]))

    def penalty(days: float) -> int:
        between = NormalDist(days, spread)
        return round(1000 * (between.cdf(0.5) - between.cdf(-0.5)))

    return penalty
