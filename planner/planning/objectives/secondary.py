"""The secondary objectives in order: reservations, smallest gap, near dates, used length, carrying."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from planner.engine.model.instance import Instance, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import NEAR_DATES, Penalty, count_near_dates, near_dates_level
from planner.engine.model.solver import Effort
from planner.engine.search.lexicographic import (
    OnIncumbent,
    Solution,
    ignore_incumbent,
    is_feasible,
    solve_lexicographic,
)
from planner.engine.search.reservations import Reservations, reservation_level, with_reservations
from planner.engine.search.widest_gap import no_wider_than
from planner.engine.secondary.carrying import carrying_level
from planner.engine.secondary.fixed_levels import fix_levels
from planner.engine.secondary.near_dates import fewest_near_dates, fix_near_dates
from planner.engine.secondary.smallest_gap import gap_level, widest_level
from planner.engine.secondary.used_length import cut_off, length_level, shortest_level
from planner.planning.objectives.carrying_costs import carrying_of
from planner.planning.problem.season_problem import SeasonProblem


def solve_secondary(
    problem: SeasonProblem,
    solution: Solution,
    levels: list[Level],
    days: float,
    penalty: Penalty | None,
    widest: bool,
    effort: Effort,
    on_incumbent: OnIncumbent,
) -> tuple[SpotOf, list[Level], Reservations | None]:
    """The assignment after all secondary objectives, all levels, and the reservations.

    Parameters
    ----------
    solution
        Of the first levels; nobody more is touched, unless ``widest``.
    levels
        Of the first objectives, as they are to be told.
    days
        The gap.
    on_incumbent
        Called with what is reached on the way.
    """
    inst, spot_of, reservations = problem.instance, solution.spot_of, None
    on_incumbent(spot_of, levels)
    if inst.coming or not solution.feasible:
        restrict = fix_levels(inst, solution, penalty)
        reservations = reservation_level(inst, spot_of, days, restrict, effort, counted=not solution.feasible)
        if widest and solution.feasible:  # others may be touched for it, and more reservations be possible
            reservations = replace(
                reservations, levels=tuple(_nothing_known(level) for level in reservations.levels)
            )
        spot_of, levels = reservations.spot_of, [*levels, *reservations.levels]
        on_incumbent(spot_of, levels, reservations)
    if not problem.movable or not solution.feasible:
        return spot_of, levels, reservations
    rest = inst if reservations is None else with_reservations(inst, reservations, days)
    after = _After(problem, rest, reservations, days, effort, ignore_incumbent if widest else on_incumbent)
    effort.say("widest smallest gap")
    plain, wide = widest_level(rest, spot_of, effort, rest.handling(spot_of))
    plain, found = after.levels(plain, [*levels, after.of_all(wide)])
    if not widest:
        return plain, found, reservations
    if rest.smallest_gap(plain) > rest.smallest_gap(spot_of):
        spot_of = plain  # so that it is never worse than without --widest
    pinned_gap, fewest = _gap_of_pinned(problem, days), solution.touched
    if (
        not days <= pinned_gap <= rest.smallest_gap(plain)
    ):  # else nothing is wider, and nobody is touched in vain
        effort.say("widest smallest gap, whoever has to be moved")
        spot_of, wide = widest_level(rest, spot_of, effort, None)
        least = fewest if reservations is not None or pinned_gap < rest.smallest_gap(spot_of) else None
        spot_of, fewest = _fewest_touched(inst, rest, spot_of, days, effort, least)
    else:
        value, spot_of = inst.handling(plain), plain
        fewest = replace(fewest, value=value, proved=value == fewest.bound)
    levels = [*(x for x in levels if x.name != fewest.name), after.of_all(wide), fewest]
    on_incumbent(spot_of, levels, reservations)
    return *replace(after, on_incumbent=on_incumbent).levels(spot_of, levels), reservations


@dataclass(frozen=True)
class _After:
    """What is sought after the smallest gap; ``rest``: the instance of ``problem`` with the reservations."""

    problem: SeasonProblem
    rest: Instance
    reservations: Reservations | None
    days: float
    effort: Effort
    on_incumbent: OnIncumbent

    def of_all(self, wide: Level) -> Level:
        """The level of `widest_level`, claiming nothing of other reservations than those of ``rest``."""
        if self.reservations is None or not self.reservations.reserved or wide.bound is None:
            return wide
        most = max(no_wider_than(self.problem.instance, self.effort), wide.bound)
        return gap_level(math.inf if wide.value is None else wide.value, most)

    def levels(self, spot_of: SpotOf, levels: list[Level]) -> tuple[SpotOf, list[Level]]:
        """The assignment and levels after near dates, used length and carrying; none before gets worse."""
        problem, days, effort = self.problem, self.days, self.effort
        self.on_incumbent(spot_of, levels, self.reservations)
        least = _gap_now(self.rest, spot_of, days)
        # Pairs of which both stay are fixed; the others may hang farther from near dates.
        moving = movers = _only_movers(self.rest, spot_of)
        spot_of, near = fewest_near_dates(moving, spot_of, least, days, effort)
        self.on_incumbent(
            spot_of, [*levels, self._near_dates_of_all(movers, spot_of, near)], self.reservations
        )
        if not near.value:
            least = max(least, days + NEAR_DATES[-1])
        restrict_near_dates = fix_near_dates(days, int(near.value or 0))
        length = None
        if problem.line_positions:
            others = problem.prepupae.values()
            spot_of, length = shortest_level(
                moving, spot_of, least, problem.line_positions, effort, restrict_near_dates, others
            )
            moving = cut_off(moving, spot_of, problem.line_positions)
            self.on_incumbent(
                spot_of, [*levels, self._near_dates_of_all(movers, spot_of, near), length], self.reservations
            )
        carrying = carrying_of(problem)
        spot_of, carried = carrying_level(moving, spot_of, least, carrying, effort, restrict_near_dates)
        # Those whose spot is reserved after them are pinned in ``moving``, but carried all the same.
        more = (carrying.total(problem.instance, spot_of) - carrying.total(moving, spot_of)) / 10
        assert carried.value is not None
        assert carried.bound is not None
        carried = replace(carried, value=carried.value + more, bound=carried.bound + more)
        # What came after a level may have gained there too: the values are those of the end.
        levels = [*levels, self._near_dates_of_all(movers, spot_of, near)]
        if length is not None:
            levels.append(
                length_level(spot_of, problem.line_positions, length.bound or 0.0, problem.prepupae.values())
            )
        return spot_of, [*levels, carried]

    def _near_dates_of_all(self, movers: Instance, spot_of: SpotOf, near: Level) -> Level:
        """The level of all pairs, also of two who could be moved and stay, whose gap is fixed."""
        every, days = self.problem.instance, self.days
        unchanged = count_near_dates(every, spot_of, days) - count_near_dates(movers, spot_of, days)
        return near_dates_level(every, spot_of, days, (near.bound or 0) + unchanged)


def _nothing_known(level: Level) -> Level:
    return replace(level, bound=0, proved=level.value == 0)


def _gap_of_pinned(problem: SeasonProblem, days: float) -> float:
    """The smallest gap of those who may not be touched, pending pairs left out: that of all is no wider."""
    inst = problem.instance
    _, pending = problem.too_close({**inst.homes, **inst.pinned}, days)
    pending_pairs = {frozenset((pair.a, pair.b)) for pair in pending}
    every = inst.neighbour_pairs(dict(inst.pinned), pinned_too=True)
    dated = (pair for pair in every if not inst.undated & {*pair})
    apart = (
        inst.gap(a, b) for a, b in dated if frozenset((problem.ids[a], problem.ids[b])) not in pending_pairs
    )
    return min(apart, default=math.inf)


def _only_movers(inst: Instance, spot_of: SpotOf) -> Instance:
    """The same with everybody pinned who stays; who leaves its home does not go back."""
    staying = {i: node for i, node in inst.homes.items() if spot_of[i] == node}
    found = replace(inst.with_pinned(staying), homes={}, barred=frozenset())
    return found.with_open(found.open_nodes)


def _gap_now(inst: Instance, spot_of: SpotOf, days: float) -> float:
    """The gap reached, to go on with; where nobody has a neighbour more than all dates span."""
    return max(days, min(inst.smallest_gap(spot_of), max(inst.dues) - min(inst.dues) + 1))


def _fewest_touched(
    inst: Instance, rest: Instance, spot_of: SpotOf, days: float, effort: Effort, least: Level | None
) -> tuple[SpotOf, Level]:
    """Touch no more than the widest gap takes; ``rest`` is ``inst`` with the reservations.

    ``least``: the fewest touched at no wider gap than ``days``, where more is not proved. That is so where
    the gap of all is no wider for what is done here, or where other spots could have been reserved.
    """
    gap = _gap_now(rest, spot_of, days)
    again = solve_lexicographic(rest, gap, effort)
    if is_feasible(rest, again.spot_of, gap):  # else there was no time for it
        spot_of = again.spot_of
    # Those whose spot is reserved after them are pinned in ``rest``, but touched all the same.
    unchanged = inst.handling(spot_of) - rest.handling(spot_of)
    value = inst.handling(spot_of)
    found = [level.bound or 0 for level in again.levels if level.name in ("touched", "handling")]
    bound = max(found, default=0) + unchanged if least is None else least.bound
    name = "handling" if inst.price else "touched"
    return spot_of, Level(name=name, value=value, bound=bound, proved=value == bound)
