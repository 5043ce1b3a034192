"""The secondary objectives in order: room for those to come, risk, elbow room, used length, carrying."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from planner.engine.model import budget
from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty
from planner.engine.model.solver import Effort
from planner.engine.search.lexicographic import OnIncumbent, Solution, ignore_incumbent
from planner.engine.search.reservations import Reservations, reservation_level, with_reservations
from planner.engine.secondary.elbow_room import crowded_pairs, elbow_level, with_elbow_room
from planner.engine.secondary.fixed_levels import fix_levels
from planner.engine.secondary.least_carrying import carrying_level
from planner.engine.secondary.risk import (
    cost_of_pinned,
    least_risk,
    least_risk_of_all,
    risk_level,
    without_dearer,
)
from planner.engine.secondary.ruin_and_recreate import ruin_and_recreate
from planner.engine.secondary.stability import Restrict, arranged_around, both, keep_at_least, realigned
from planner.engine.secondary.used_length import cut_off, shortest_level
from planner.engine.secondary.weights import weighted
from planner.planning.objectives.carrying_costs import carrying_of
from planner.planning.objectives.prior_moves import PriorMoves
from planner.planning.objectives.who_moves import exchangeable, only_movers
from planner.planning.objectives.widening import Widening, gap_kept
from planner.planning.problem.drying import THOUSANDTHS
from planner.planning.problem.season_problem import SeasonProblem

HOT = 3  # first temperature of the local search, in thousandths of a pair that dries together
MILD = 30  # first temperature while only carrying is left to be gained, in tenths of a cm


def solve_secondary(
    problem: SeasonProblem,
    solution: Solution,
    levels: list[Level],
    days: float,
    penalty: Penalty | None,
    widest: bool,
    prior: PriorMoves,
    effort: Effort,
    on_incumbent: OnIncumbent,
) -> tuple[SpotOf, list[Level], Reservations | None]:
    """The assignment after all secondary objectives, all levels, and the reservations.

    Parameters
    ----------
    solution
        Of the first levels; nobody more is touched, unless ``widest``.
    widest
        Whether the widest smallest gap comes before those touched; only where nobody clashes.
    levels
        Of the first objectives, as they are to be told.
    days
        The gap.
    prior
        The moves of the plan before: those that ``solution`` keeps are kept.
    on_incumbent
        Called with what is reached on the way.
    """
    inst, spot_of, reservations = problem.instance, solution.spot_of, None
    report = ignore_incumbent if widest else on_incumbent
    on_incumbent(spot_of, levels)
    least = days
    if widest and prior.nodes:
        spot_of = arranged_around(inst, spot_of, days, prior.nodes, penalty, effort)
        least = gap_kept(inst, spot_of, days)
    after = _After(problem, inst, days, penalty, effort, solution.feasible, inst.handling(spot_of), prior)
    if problem.movable:
        spot_of = after.improved(spot_of, least)
        report(spot_of, levels)
    if inst.coming:
        reservations = _reserved(
            problem, replace(solution, spot_of=spot_of), days, penalty, widest, prior, effort
        )
        moved, spot_of = reservations.spot_of != spot_of, reservations.spot_of
        levels = [*levels, *reservations.levels]
        after = replace(after, rest=with_reservations(inst, reservations, days), reservations=reservations)
        if moved and problem.movable:
            spot_of = after.improved(spot_of, days)
        report(spot_of, levels, reservations)
    if not problem.movable:
        return spot_of, levels, reservations
    if widest:
        fewest = solution.touched
        widening = Widening(problem, after.rest, days, prior, reservations, effort)
        spot_of, wide = widening.widest(spot_of, fewest)
        levels = [*(level for level in levels if level.name != fewest.name), *wide]
        least = gap_kept(after.rest, spot_of, days)
        after = replace(after, touched=inst.handling(spot_of))
        spot_of = after.improved(spot_of, least)
        on_incumbent(spot_of, levels, reservations)
    return *after.last_levels(spot_of, levels, least, carried=solution.feasible), reservations


def _reserved(
    problem: SeasonProblem,
    solution: Solution,
    days: float,
    penalty: Penalty | None,
    widest: bool,
    prior: PriorMoves,
    effort: Effort,
) -> Reservations:
    """The reservations beside ``solution``, of which nothing gets worse, and nobody loses its prior node.

    With ``widest`` stability comes later: prior nodes are given up where that leaves room for more.
    """
    inst, kept = problem.instance, len(prior.kept(solution.spot_of))
    fixed = fix_levels(inst, solution, penalty)

    def reserved(restrict: Restrict) -> Reservations:
        return reservation_level(
            inst,
            solution.spot_of,
            days,
            restrict,
            effort,
            counted=not solution.feasible,
            wanted=prior.reserved,
        )

    found = reserved(both(fixed, keep_at_least(prior.nodes, kept)))
    if widest and kept and found.missing:
        found = min(found, reserved(fixed), key=lambda one: one.missing)
    if prior.nodes:
        found = replace(found, spot_of=realigned(inst, found.spot_of, prior.nodes, days))
    if widest or prior.off_grid:  # others may be touched for it, and more reservations be possible
        found = replace(found, levels=tuple(map(_nothing_known, found.levels)))
    return found


@dataclass(frozen=True)
class _After:
    """What is sought after the first levels; ``rest``: the instance of ``problem`` with the reservations."""

    problem: SeasonProblem
    rest: Instance
    days: float
    penalty: Penalty | None
    effort: Effort
    feasible: bool
    touched: int
    prior: PriorMoves
    reservations: Reservations | None = None

    @cached_property
    def least_risk(self) -> int:
        """What neighbours cost at least of whom one may be moved, whoever stays; trivial where some clash."""
        inst = self.problem.instance
        if not self.feasible or self.effort.clock.left <= 0:
            return 0
        return least_risk(inst, self.days, self.touched, self.problem.drying.costs, self.effort)

    def improved(self, spot_of: SpotOf, gap: float) -> SpotOf:
        """The assignment after local search for risk, elbow room and carrying; no level before gets worse.

        No more are touched, and nobody comes closer than ``gap`` days to a neighbour.
        """
        problem = self.problem
        items, nodes = len(problem.instance.free_items), len(problem.instance.open_nodes)
        begun = budget.RECREATED_BEGUN * len({*problem.instance.dues}) * nodes
        if items * nodes > budget.RECREATED_MADE or self.effort.clock.steady_left <= begun:
            return spot_of
        rest = self._pinned(exchangeable(self.rest, spot_of, gap), spot_of)
        self.effort.say("least risk, elbow room and carrying")
        costs, carrying = problem.drying.costs, carrying_of(problem)
        weights = weighted(rest, gap, self.penalty, costs, problem.close, carrying)
        enough = weights.enough(rest.handling(spot_of), self.least_risk - self._fixed(rest))
        found = ruin_and_recreate(
            rest, spot_of, weights.costs, enough, self.effort, HOT * weights.risky, MILD
        )
        # Of many kinds some stand for all.
        return found if self._risk(found) <= self._risk(spot_of) else spot_of

    def _fixed(self, inst: Instance) -> int:
        """What pairs cost that are fixed in ``inst`` alone."""
        whole, risk = self.problem.instance, self.problem.drying.costs
        return cost_of_pinned(inst, risk) - cost_of_pinned(whole, risk)

    def _pinned(self, inst: Instance, spot_of: SpotOf) -> Instance:
        """The instance with those pinned that have their spot of the plan before."""
        return inst.with_pinned({i: n for i, n in self.prior.kept(spot_of).items() if i not in inst.pinned})

    def _settled(self, spot_of: SpotOf) -> bool:
        """Whether nothing is left to choose: those moved are those whose spot of the plan before is kept."""
        moved = self.problem.instance.touched(spot_of)
        return 0 < len(self.prior.nodes) == len(moved) and self.prior.all_kept(spot_of)

    def _risk(self, spot_of: SpotOf) -> int:
        return self.problem.drying.costs.total(self.problem.instance.graph, spot_of)

    def last_levels(
        self, spot_of: SpotOf, levels: list[Level], gap: float, *, carried: bool
    ) -> tuple[SpotOf, list[Level]]:
        """The assignment and levels after risk, elbow room and, if ``carried``, carrying."""
        problem, effort = self.problem, self.effort
        risk, close = problem.drying.costs, problem.close
        spot_of, bound = self._least_risk_of_all(spot_of, gap)
        moving, everybody = (only_movers(inst, spot_of) for inst in (self.rest, problem.instance))
        moving = self._pinned(moving, spot_of)
        crowded = crowded_pairs(everybody, close, spot_of)
        levels = [
            *levels,
            risk_level(problem.instance, spot_of, risk, THOUSANDTHS, bound),
            elbow_level(everybody, close, spot_of, crowded if self._settled(spot_of) else 0),
        ]
        if not carried:
            return spot_of, levels
        carrying = carrying_of(problem)
        told_apart = not crowded and len({*risk.kind}) <= budget.PAIRED_KINDS
        roomy = told_apart and self._risk(spot_of) == cost_of_pinned(everybody, risk)
        moving = without_dearer(moving, risk, 0 if roomy else None)
        if roomy and (short := _short_of_room(levels) and problem.line_positions):
            moving = with_elbow_room(moving, close)
            others = problem.prepupae.values()
            spot_of, length = shortest_level(moving, spot_of, gap, short, effort, others=others)
            levels.append(length)
            moving = cut_off(moving, spot_of, short)
        found, level = carrying_level(moving, spot_of, gap, carrying, effort, close if roomy else None)
        # Those whose spot is reserved after them are pinned in ``moving``, but carried all the same.
        more = (carrying.total(problem.instance, found) - carrying.total(moving, found)) / 10
        assert level.value is not None
        assert level.bound is not None
        return found, [*levels, replace(level, value=level.value + more, bound=level.bound + more)]

    def _least_risk_of_all(self, spot_of: SpotOf, gap: float) -> tuple[SpotOf, int]:
        """The assignment with no more risk, and a bound on what those cost of whom one may be moved.

        Where local search has not reached the bound, a small rack is left to the exact model.
        """
        bound, inst = self.least_risk, self.problem.instance
        if self._settled(spot_of):
            return spot_of, self._risk(spot_of) - cost_of_pinned(inst, self.problem.drying.costs)
        reached = self._risk(spot_of) <= bound + cost_of_pinned(inst, self.problem.drying.costs)
        if reached or not self.feasible or self.reservations is not None:
            return spot_of, bound
        rest = self._pinned(inst, spot_of)
        found, proved = least_risk_of_all(rest, spot_of, gap, self.problem.drying.costs, self.effort)
        proved = proved + self._fixed(rest) if self.prior.all_kept(spot_of) else 0
        if self._risk(found) < self._risk(spot_of):
            spot_of = self.improved(found, gap)
        # A wider gap is no rule of the season.
        return spot_of, bound if gap > self.days else max(bound, proved)


def _short_of_room(levels: Iterable[Level]) -> bool:
    """Whether some of those to come find no spot: then what is left of the yarn counts."""
    return any(level.name == "room" and level.value for level in levels)


def _nothing_known(level: Level) -> Level:
    return replace(level, bound=0, proved=level.value == 0)
