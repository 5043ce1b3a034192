"""A season's plan: all objectives in lexicographic order, and moves that can be done."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator
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
    effort = Effort(Clock(seconds, stop), seed, workers, progress, log, dump, memory)
    risk = season.risk if gap is None else None
    days = 0.0 if risk is not None else season.gap_days if gap is None else gap
    now = forecasts(season, on)
    penalty = None if risk is not None else _penalty(now)
    reporter = IncumbentReporter(on_incumbent, len(season.pupae))

    ahead = budget.EVENINGS_AHEAD if evenings is None else evenings

    def hung(deferred: Deferred | None, span: int, share: float = 1.0) -> _Evening:
        """The first levels where those are deferred, of a plan over so many evenings."""
        own = with_deferred(now, deferred.until) if deferred else now

        def problem_of(rehang: bool = False, also_pinned: Collection[str] = ()) -> SeasonProblem:
            found = season_problem(
                season,
                own,
                risk,
                on=on,
                gap=gap,
                rehang=rehang,
                also_pinned=also_pinned,
                placed=deferred.spots if deferred else (),
            )
            return deferred.in_mind(found, days) if deferred else found

        builder, settings = (
            PlanBuilder(season, own, on, days, deferred, ahead, penalty, before),
            _settings(season, risk, span),
        )
        problem = problem_of()
        report = reporter.callback(builder, problem, settings, claiming=not rehang)
        own_effort = replace(effort, clock=effort.clock.part(share))
        solution = affordable_lexicographic(problem.instance, days, own_effort, penalty, report)
        return _Evening(problem, solution, builder, settings, problem_of)

    span = evenings or 1
    deferred: Deferred | None = None
    if span > 1:
        whole = season_problem(season, now, risk, on=on, gap=gap)
        deferred, _ = fewest_deferred(whole, on, days, effort, span, before=before)
    evening = hung(deferred, span, budget.EVENING_SHARE if evenings is None else 1.0)
    fewest = evening.left_and_clashing(days)
    if evenings is None and not evening.solution.feasible:
        most = int(evening.solution.level("clashes").value or 0)
        deferred, _ = fewest_deferred(
            evening.problem, on, days, effort, ahead, unplaced=False, most=most, before=before
        )
        later = hung(deferred, ahead) if deferred else evening
        # Nobody is deferred for more clashes on this evening.
        if (left := later.left_and_clashing(days)) < fewest and left[1] <= fewest[1]:
            evening, fewest = later, left
    as_hung, as_hung_solution = evening.problem, evening.solution
    builder, settings = evening.builder, evening.settings
    stuck: dict[str, str] = {}
    ideal: Plan | None = None
    while True:
        problem, solution = as_hung, as_hung_solution
        levels = list(solution.levels)
        if rehang and fewest > (0, 0):
            again = evening.problem_of(True, stuck)
            better = as_hung_solution  # the answer is the same where nobody that hangs may be moved
            if again.instance.price:
                better = affordable_lexicographic(again.instance, days, effort, penalty)
            settings |= {"rehang_price": season.rehang_price, "clashes_without_rehang": fewest[1]}
            if _left_and_clashing(again, better, days) < fewest:
                problem, solution, levels = again, better, list(better.levels)
            else:
                levels = list(_bounded_if_rehung((problem, solution), (again, better), days))
        prior = PriorMoves(problem, before, rehang and problem is as_hung and fewest > (0, 0))
        widen = widest and solution.feasible and problem.movable
        if prior.to_make and not widen:
            solution, least = with_stability(prior, problem.instance, solution, days, penalty, effort)
            levels = [*_as_reached(levels, solution), prior.level(solution.spot_of, least)]
        spot_of, reservations = solution.spot_of, None
        if problem.movable or problem.instance.coming:
            report = ignore_incumbent if stuck else reporter.callback(builder, problem, settings)
            spot_of, levels, reservations = solve_secondary(
                problem, solution, levels, days, penalty, widen, prior, effort, report
            )
        plan, cannot = builder.plan(problem, spot_of, levels, reservations, settings)
        if not cannot:
            break
        # Next best: without those for whom no order of moves works. It can at best be what was found now.
        effort.say("looking for moves that can be done one after another")
        stuck |= cannot
        ideal = ideal or plan
    left_there = tuple(Stuck(pupa=pupa, why=why) for pupa, why in sorted(stuck.items()))
    proof = tuple(no_better_than(plan.proof, ideal.proof)) if ideal else plan.proof
    plan = replace(plan, stuck=left_there, proof=proof)
    return as_proved_before(plan, before, builder.now)


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
