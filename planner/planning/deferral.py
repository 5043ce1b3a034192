"""Pupae deferred: the fewest to be left on their lids for a later evening, so that nobody hung clashes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import cast

from planner.emergence import Arrival, Forecast
from planner.engine.model import budget
from planner.engine.model.instance import Instance, Node, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort
from planner.engine.search import deferral
from planner.engine.search.deferral_model import Deferrable
from planner.engine.search.reservations import Reservations, first_fit, with_later
from planner.planning.problem.arrivals import DAY, LookAhead, later_evenings, reckoned
from planner.planning.problem.season_problem import SeasonProblem, hangs_already
from planner.rack import Spot
from planner.season import Plan
from planner.season.reading.told_dates import moment


@dataclass(frozen=True)
class Deferred:
    """The pupae deferred, until when at least, and how few evenings that is proved to be.

    ``spots``: pupa → its spot on that evening, ``tenths`` → the chance that it is free by then; who has none
    is only put off to the next evening. ``vacated``: of each item of the problem the day by which its spot is
    free again. ``reached``: levels ``left`` and ``clashes`` → what these reach; ``least``: no less is
    possible, whoever is deferred.
    """

    until: Mapping[str, datetime]
    spots: Mapping[str, Spot]
    tenths: Mapping[str, int]
    vacated: tuple[float, ...]
    levels: tuple[Level, ...]
    reached: Mapping[str, int]
    least: Mapping[str, int]

    def in_mind(self, problem: SeasonProblem, days: float) -> SeasonProblem:
        """The problem in which their spots on later evenings are given to nobody else."""
        if not self.spots:
            return problem
        inst, item = problem.instance, {name: i for i, name in enumerate(problem.ids)}
        later = [
            (spot, inst.dues[i], inst.kind(i), problem.scale.days(self.until[name]))
            for name, spot in self.spots.items()
            if (i := item[name]) is not None
        ]
        return replace(problem, instance=with_later(inst, later, days, self.vacated))


def deferrable(problem: SeasonProblem, on: datetime) -> dict[str, list[datetime]]:
    """Who can still be moved a day later, even if it is early, and until when: ids with all evenings to come.

    They are on a lid and could be moved now.
    """
    found = {}
    for name in (problem.ids[i] for i in problem.instance.free_items):
        _, *evenings = later_evenings(problem.now[name], on, on + budget.EVENINGS_MOST * DAY)
        if evenings and not hangs_already(problem.season.pupa[name], problem.season):
            found[name] = evenings
    return found


def fewest_deferred(
    problem: SeasonProblem,
    on: datetime,
    days: float,
    effort: Effort,
    evenings: int,
    *,
    unplaced: bool = True,
    most: int | None = None,
    before: Plan | None = None,
) -> tuple[Deferred | None, bool]:
    """The pupae to defer for the fewest clashes and evenings on lids; None: nobody, or not found out.

    Also whether it is proved that some clash whoever is deferred. Evenings on the lid are counted from when
    a pupa is firm, so that one deferred before is hung rather than some that came after it.

    Parameters
    ----------
    evenings
        Over which is planned, this one too.
    unplaced
        Whether one may be deferred for whom there is no spot on any of them.
    most
        Clashes, at most.
    before
        The plan in force: who has a spot on a later evening keeps it where that costs nothing.
    """
    inst, able = _with_evenings(problem, on, evenings)
    if not unplaced and not inst.coming:
        return None, False
    item = {name: i for i, name in enumerate(problem.ids)}
    nodes = {(node.place, node.tag): node for node in inst.graph if isinstance(node, Spot)}
    wanted = {
        item[one.who]: nodes[one.place, one.spot]
        for one in (before.later if before else ())
        if one.who in item and (one.place, one.spot) in nodes
    }
    found, sure = deferral.fewest_deferred(
        inst, days, able, effort, unplaced=unplaced, most=most, wanted=wanted
    )
    if found is None:
        return None, sure
    evening = {k: n + 1 for one in able for n, k in enumerate(one.evenings)}
    until = {
        problem.ids[i]: on + (evening[found.later[i][1]] if i in found.later else 1) * DAY
        for i in found.items
    }
    spots = {problem.ids[i]: cast(Spot, node) for i, (node, _) in found.later.items()}
    tenths = {problem.ids[i]: inst.chance(node, k) for i, (node, k) in found.later.items()}
    until = dict(sorted(until.items()))
    return Deferred(until, spots, tenths, inst.vacated, found.levels, found.reached, found.least), sure


def _with_evenings(problem: SeasonProblem, on: datetime, evenings: int) -> tuple[Instance, list[Deferrable]]:
    """The instance in which those who may be deferred come on later evenings, and who of them are alike.

    They are alike that have the same due, kind, cost and evenings.
    """
    inst, season = problem.instance, problem.season
    groups: defaultdict[tuple[int, tuple[object, ...]], list[int]] = defaultdict(list)
    able = {name: later[: evenings - 1] for name, later in deferrable(problem, on).items()}
    for i in inst.free_items:
        if (name := problem.ids[i]) in able:
            pupa, cost = season.pupa[name], evenings_on_lid(problem.now[name], on)
            alike = inst.dues[i], inst.kind(i), pupa.species, pupa.pupated, len(able[name])
            groups[cost, alike].append(i)
    first = {items[0]: season.pupa[problem.ids[items[0]]] for items in groups.values()}
    wanted = [
        (Arrival(pupa, on, len(items)), able[pupa.id])
        for items in groups.values()
        if items[0] not in inst.undated and (pupa := first[items[0]])
    ]
    hung = [season.pupa[name] for name in problem.ids]
    ahead = reckoned(season, problem.now, hung, wanted, on, problem.scale, problem.for_good)
    which: defaultdict[str, list[int]] = defaultdict(list)
    for k, one in enumerate(ahead.coming):
        which[one.name].append(k)
    grouped, kinds = [], [0] * len(ahead.coming)
    for (cost, _), items in groups.items():
        own = which[first[items[0]].id]
        grouped.append(Deferrable(tuple(items), cost, tuple(own)))
        for k in own:
            kinds[k] = inst.kind(items[0])
    nodes = len(inst.open_nodes) + len({i for i, _ in ahead.vacancy_chance})
    size = nodes * (len(ahead.coming) + len({*inst.dues}))
    if size > budget.RESERVATION_SOLVED:  # too much to choose from: only who waits, not for which spot
        ahead = LookAhead()
        grouped = [replace(one, evenings=()) for one in grouped]
    inst = replace(
        inst,
        vacated=ahead.vacated,
        coming=ahead.of_kinds(kinds if inst.kinds else []),
        vacancy_chance=ahead.vacancy_chance,
    )
    return inst, grouped


def soft_ones_later(
    problem: SeasonProblem,
    spot_of: SpotOf,
    reservations: Reservations | None,
    days: float,
    on: datetime,
    evenings: int,
    wanted: Collection[tuple[str, Node]],
) -> Iterator[tuple[str, Spot, datetime]]:
    """Each soft pupa without a spot when it is firm, with one that is surely free later, and when.

    Those that are reserved, and where everybody hangs, stay as they are. ``wanted``: (pupa, node) of a plan
    before, kept where it will do.
    """
    inst, season = problem.instance, problem.season
    if evenings < 3 or not inst.coming:  # on the next evening each is sought a spot in any case
        return
    reserved = reservations.reserved if reservations else ()
    placed = {inst.coming[k].name for _, k in reserved}
    last = on + (evenings - 1) * DAY
    soft = {name for name, forecast in problem.now.items() if forecast.stage == "soft"}
    lacking = [c for c in inst.coming if c.name in soft and c.name not in placed]
    arrivals = [(Arrival(season.pupa[c.name], problem.scale.moment(c.since), 1), c.kind) for c in lacking]
    later = [later_evenings(problem.now[one.name], one.firm, last)[1:] for one, _ in arrivals]
    hung = [season.pupa[name] for name in problem.ids]
    each = [(one, when) for (one, _), when in zip(arrivals, later, strict=True)]
    ahead = reckoned(season, problem.now, hung, each, on, problem.scale, problem.for_good)
    kind = {one.name: k for one, k in arrivals}
    those = [(node, inst.coming[k].due, inst.coming[k].kind, inst.coming[k].since) for node, k in reserved]
    kept = with_later(replace(inst, coming=(), vacancy_chance={}), those, days, ahead.vacated)
    coming = tuple(replace(c, kind=kind[c.name]) for c in ahead.coming)
    kept = replace(kept, coming=coming, vacancy_chance=ahead.vacancy_chance)
    for node, k in first_fit(kept, spot_of, days, wanted, aside=True):
        yield coming[k].name, cast(Spot, node), problem.scale.moment(coming[k].since)


def evenings_on_lid(forecast: Forecast, on: datetime) -> int:
    """The number of evenings a pupa will have spent on its lid once firm, tonight's too."""
    assert forecast.firm_from is not None  # else it would stay
    return 1 + (on - forecast.firm_from) // DAY


def with_deferred(now: Mapping[str, Forecast], until: Mapping[str, datetime]) -> dict[str, Forecast]:
    """The forecasts ``now``, in which those deferred are as little to be touched as if they were soft."""
    return {
        name: replace(
            f,
            stage="waiting",
            firm_from=until[name],
            why=f"waits on its lid for a spot until {moment(until[name])}",
        )
        if name in until
        else f
        for name, f in now.items()
    }
