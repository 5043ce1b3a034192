"""The levels of a plan with the widest smallest gap: that gap, those touched for it, and stability."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort
from planner.engine.search.lexicographic import Solution, is_feasible, solve_lexicographic
from planner.engine.search.reservations import Reservations
from planner.engine.search.widest_gap import no_wider_than
from planner.engine.secondary.smallest_gap import gap_level, widest_level
from planner.planning.objectives.prior_moves import PriorMoves, with_stability
from planner.planning.problem.season_problem import SeasonProblem


@dataclass(frozen=True)
class Widening:
    """The search for the widest gap, at least ``days``; ``rest``: the instance with the reservations."""

    problem: SeasonProblem
    rest: Instance
    days: float
    prior: PriorMoves
    reservations: Reservations | None
    effort: Effort

    def widest(self, spot_of: SpotOf, fewest: Level) -> tuple[SpotOf, list[Level]]:
        """The assignment with the widest smallest gap, begun from ``spot_of``, and its levels.

        Parameters
        ----------
        fewest
            The fewest touched at the gap ``days``.
        """
        rest, effort, pinned_gap = self.rest, self.effort, self._gap_of_pinned()
        # Where two that may not be touched are as close, nothing is wider, and nobody is touched in vain.
        if self.days <= pinned_gap <= rest.smallest_gap(spot_of):
            wide = gap_level(rest.smallest_gap(spot_of), no_wider_than(rest, effort))
        else:
            effort.say("widest smallest gap, whoever has to be moved")
            spot_of, wide = widest_level(rest, spot_of, effort)
        gap = gap_kept(rest, spot_of, self.days)
        if pinned_gap >= self.days:  # the gap of all is no wider than that, so the others need no more
            gap = min(gap, pinned_gap)
        # No more is known of other reservations, nor where the others keep a wider gap than that of all.
        known = self.reservations is None and pinned_gap >= gap
        spot_of, touched = self._fewest_touched(spot_of, gap, fewest, known=known)
        levels = [self._of_all(wide), touched]
        if self.prior.to_make:
            lost = 0
            if is_feasible(rest, spot_of, gap):  # else there was no time for it
                solution = Solution(spot_of, (), feasible=True)
                solution, lost = with_stability(self.prior, rest, solution, gap, None, effort)
                spot_of = solution.spot_of
            levels.append(self.prior.level(spot_of, lost if known else 0))
        return spot_of, levels

    def _fewest_touched(
        self, spot_of: SpotOf, gap: float, fewest: Level, *, known: bool
    ) -> tuple[SpotOf, Level]:
        """Touch no more than ``gap`` takes; ``known``: whether what is proved at it holds of all plans."""
        inst, rest, bound = self.problem.instance, self.rest, fewest.bound or 0
        if inst.handling(spot_of) > bound:
            again = solve_lexicographic(rest, gap, self.effort)
            if is_feasible(rest, again.spot_of, gap):  # else there was no time for it
                spot_of = min(again.spot_of, spot_of, key=rest.handling)
            if known:
                found = (level.bound or 0 for level in again.levels if level.name == fewest.name)
                bound = max(bound, int(max(found, default=0)))
        value = inst.handling(spot_of)
        return spot_of, replace(fewest, value=value, bound=bound, proved=value == bound)

    def _of_all(self, wide: Level) -> Level:
        """The level of the gap, claiming nothing of other reservations than those of ``rest``."""
        if self.reservations is None or not self.reservations.reserved or wide.bound is None:
            return wide
        most = max(no_wider_than(self.problem.instance, self.effort), wide.bound)
        return gap_level(math.inf if wide.value is None else wide.value, most)

    def _gap_of_pinned(self) -> float:
        """The smallest gap of those who may not be touched, but of pending pairs: that of all is no wider."""
        problem = self.problem
        inst = problem.instance
        _, pending = problem.too_close({**inst.homes, **inst.pinned}, self.days)
        pending_pairs = {frozenset((pair.a, pair.b)) for pair in pending}
        every = inst.neighbour_pairs(dict(inst.pinned), pinned_too=True)
        dated = (pair for pair in every if not inst.undated & {*pair})
        ids = problem.ids
        apart = (inst.gap(a, b) for a, b in dated if frozenset((ids[a], ids[b])) not in pending_pairs)
        return min(apart, default=math.inf)


def gap_kept(inst: Instance, spot_of: SpotOf, days: float) -> float:
    """The gap reached, to go on with; where nobody has a neighbour more than all dates span."""
    return max(days, min(inst.smallest_gap(spot_of), max(inst.dues) - min(inst.dues) + 1))
