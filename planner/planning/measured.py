"""The levels of a plan measured on its final assignment, as later levels may improve earlier ones."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace

from planner.engine.model.instance import EPS, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty
from planner.engine.search.lexicographic import left_behind
from planner.engine.secondary.elbow_room import crowded_pairs
from planner.engine.secondary.smallest_gap import gap_level
from planner.engine.secondary.used_length import total_length
from planner.planning.objectives.carrying_costs import carrying_of
from planner.planning.problem.drying import THOUSANDTHS
from planner.planning.problem.season_problem import SeasonProblem
from planner.season import TooClose

Measure = Callable[[], float]


def measured(
    problem: SeasonProblem, spot_of: SpotOf, levels: Iterable[Level], days: float, penalty: Penalty | None
) -> Iterator[Level]:
    """The levels with their values measured on ``spot_of``; a bound still holds for what is better.

    ``clashes`` counts pairs of which neither may be touched as well; the solver leaves them out, so they are
    added to its bound. ``days``: the gap asked for. ``room`` and ``waiting`` do not follow from where
    everybody hangs, and stay as they are.
    """
    inst = problem.instance
    decided = inst.clashes(spot_of, days)
    clashes, pending = problem.too_close(spot_of, days)
    pinned = len(clashes) - (len(decided) - inst.pending(spot_of, days))
    staying = {i: node for i, node in inst.homes.items() if spot_of[i] == node}
    values: Mapping[str, Measure] = {
        "left": lambda: left_behind(inst, spot_of),
        "clashes": lambda: len(clashes),
        "trouble": lambda: (
            sum(penalty(math.floor(inst.gap(*pair) + EPS)) for pair in decided) if penalty else 0
        ),
        "touched": lambda: inst.handling(spot_of),
        "handling": lambda: inst.handling(spot_of),
        "risk": lambda: problem.drying.costs.total(inst.graph, spot_of) / THOUSANDTHS,
        "elbow_room": lambda: crowded_pairs(inst.with_pinned(staying), problem.close, spot_of),
        "length": lambda: total_length(spot_of, problem.line_positions, problem.prepupae.values()),
        "carrying": lambda: carrying_of(problem).total(inst, spot_of) / 10,
    }
    digits = {"risk": 3, "length": 3, "carrying": 1}
    for level in levels:
        if level.name == "smallest_gap":
            yield _gap_of_all(level, problem, spot_of, pending)
            continue
        value, bound = level.value, level.bound
        if level.name in values:
            value = round(values[level.name](), digits.get(level.name, 0))
        if bound is not None:
            bound += pinned if level.name == "clashes" else 0
            bound = round(bound, digits.get(level.name, 6))
            bound = max(0, bound) if level.name == "clashes" else bound
        yield replace(level, value=value, bound=bound, proved=value == bound)


def gap_of_all(problem: SeasonProblem, spot_of: SpotOf, pending: Iterable[TooClose]) -> float:
    """The smallest gap of all neighbours (days), pending pairs left out; infinite where there are none."""
    return min((gap for _, gap in _gaps(problem, spot_of, pending)), default=math.inf)


def _gaps(
    problem: SeasonProblem, spot_of: SpotOf, pending: Iterable[TooClose]
) -> Iterator[tuple[tuple[int, int], float]]:
    """Each pair of neighbours of known dates with its gap, without pending pairs."""
    inst, item = problem.instance, {name: i for i, name in enumerate(problem.ids)}
    pending_pairs = {frozenset((item[pair.a], item[pair.b])) for pair in pending}
    for pair in inst.neighbour_pairs(spot_of, pinned_too=True):
        if frozenset(pair) not in pending_pairs and not inst.undated & {*pair}:
            yield pair, inst.gap(*pair)


def _gap_of_all(level: Level, problem: SeasonProblem, spot_of: SpotOf, pending: Iterable[TooClose]) -> Level:
    """The smallest gap of all neighbours in the plan, pending pairs left out.

    Two of whom neither may be touched count too; nothing makes their gap wider, so it bounds that of all.
    Who has no date has no gap to anybody.
    """
    gap, most = math.inf, math.inf if level.bound is None else level.bound
    for pair, days in _gaps(problem, spot_of, pending):
        gap = min(gap, days)
        if problem.instance.pinned.keys() >= set(pair):
            most = min(most, days)
    return _rounded(gap_level(gap, most))


def _rounded(level: Level) -> Level:
    """In ten thousandths of a day. A bound that is not reached is rounded up, and is more than the value."""
    value = None if level.value is None else round(level.value, 4)
    if level.proved or level.value is None or level.bound is None:
        return replace(level, value=value, bound=value if level.proved else level.bound)
    most = max(math.ceil(level.bound * 1e4), round(level.value * 1e4) + 1) / 1e4
    return replace(level, value=value, bound=most)
