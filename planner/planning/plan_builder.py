"""A plan made of an assignment: who hangs where, the moves, and the levels reached."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sized
from dataclasses import dataclass, replace
from datetime import datetime
from typing import cast

from planner.emergence import Forecast
from planner.engine.model.instance import TENTHS, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty, count_near_dates
from planner.engine.search.reservations import Reservations
from planner.planning.deferral import Deferred, soft_ones_later
from planner.planning.measured import gap_of_all, measured
from planner.planning.moves.move_list import moves_of
from planner.planning.moves.step_numbers import numbered_on
from planner.planning.objectives.prior_moves import PriorMoves
from planner.planning.problem.arrivals import LEAST, SURE
from planner.planning.problem.season_problem import SeasonProblem
from planner.planning.problem.vacancy import Vacancy
from planner.rack import Spot
from planner.season import Hang, Kept, Plan, Season, TooClose, Waits
from planner.season.plan import plan_record


@dataclass(frozen=True)
class PlanBuilder:
    """Makes plans as of ``on`` with ``days`` between neighbours' dues; ``deferred``: who stays on its lid;
    ``evenings``: over which is planned, this one too.

    ``before``: the plan in force, of which some moves may be still to be made.
    """

    season: Season
    now: dict[str, Forecast]
    on: datetime
    days: float
    deferred: Deferred | None
    evenings: int
    penalty: Penalty | None = None
    before: Plan | None = None

    def plan(
        self,
        problem: SeasonProblem,
        spot_of: SpotOf,
        levels: Iterable[Level],
        reservations: Reservations | None,
        settings: Mapping[str, float],
    ) -> tuple[Plan, Mapping[str, str]]:
        """The plan with its moves, and of whom no order of moves can bring to its spot, why."""
        where = {problem.ids[i]: cast(Spot, spot) for i, spot in spot_of.items()} | problem.prepupae
        moved = {problem.ids[i] for i in problem.instance.touched(spot_of)}
        left = sorted(i for i, spot in where.items() if i not in moved and problem.to_clear(spot.place))
        clashes, pending = problem.too_close(spot_of, self.days)
        changed = tuple(PriorMoves(problem, self.before).changed(spot_of))
        tenths = self._tenths(problem, spot_of)
        coming = self._coming(problem, spot_of, reservations, tenths)
        ordered = moves_of(self.season, where, moved, self.now, self.on)
        plan = Plan(
            on=self.on,
            gap_days=self.days,
            hangs=tuple(self._hangs(where, moved)),
            moves=ordered.moves,
            clashes=clashes,
            waiting=pending,
            left=tuple(left),
            waits=tuple(self._deferred()),
            kept=tuple(one for one, sure in coming if sure),
            hoped=tuple(one for one, sure in coming if not sure),
            changed=changed,
            proof=tuple(
                map(
                    _recorded,
                    measured(
                        problem,
                        spot_of,
                        self._levels(problem, levels, changed, reservations, tenths),
                        self.days,
                        self.penalty,
                    ),
                )
            ),
            settings=dict(settings),
            drying=_drying(problem, spot_of),
            neighbours=_neighbours(problem, spot_of, self.days, pending),
            inputs=dict(self.season.digests),
        )
        return numbered_on(plan, self.before), ordered.stuck

    def _hangs(self, where: Mapping[str, Spot], moved: set[str]) -> Iterator[Hang]:
        for pupa in self.season.pupae:
            if pupa.present:
                spot, due = where[pupa.id], self.now[pupa.id].due
                yield Hang(
                    pupa=pupa.id,
                    place=spot.place,
                    spot="?" if spot.at is None else spot.tag,
                    x=spot.x,
                    y=spot.y,
                    due=due.day if due else None,
                    from_place=pupa.place if pupa.id in moved else None,
                )

    def _deferred(self) -> Iterator[Waits]:
        if self.deferred is not None:
            yield from (Waits(pupa=p, until=until) for p, until in self.deferred.until.items())

    def _coming(
        self,
        problem: SeasonProblem,
        spot_of: SpotOf,
        reservations: Reservations | None,
        later: Mapping[str, int],
    ) -> list[tuple[Kept, bool]]:
        """The spots for those to come, first those needed first, each with whether it is surely free by then.

        Nobody should go by those that only may be, but they count with their chance.
        """
        coming = problem.instance.coming
        found = [
            (coming[k].since, k, coming[k].name, cast(Spot, spot), problem.instance.chance(spot, k))
            for spot, k in (reservations.reserved if reservations else ())
        ]
        for name, spot in self.deferred.spots.items() if self.deferred else ():
            assert self.deferred is not None
            since = problem.scale.days(self.deferred.until[name])
            found.append((since, -1, name, spot, later[name]))
        wanted = PriorMoves(problem, self.before).reserved
        for name, spot, when in soft_ones_later(
            problem, spot_of, reservations, self.days, self.on, self.evenings, wanted
        ):
            found.append((problem.scale.days(when), -1, name, spot, TENTHS))
        free = Vacancy(problem, spot_of, self.on)
        kept = []
        for since, k, name, spot, tenths in sorted(found, key=lambda one: one[:3]):
            if tenths < LEAST:
                continue
            when = problem.scale.moment(since)
            if name in self.now:
                due = self.now[name].due
                assert due is not None  # for one without a date no spot is sought
                chance, latest = free.chance(spot, when), self.now[name].last_evening(self.on)
                own = Kept(
                    who=name,
                    place=spot.place,
                    spot=spot.tag,
                    since=when,
                    due=due.day,
                    chance=chance,
                    latest=latest,
                )
            else:
                day = problem.scale.moment(coming[k].due).date()
                own = Kept(who=name, place=spot.place, spot=spot.tag, since=when, due=day)
            kept.append((own, tenths >= TENTHS * SURE))
        return kept

    def _tenths(self, problem: SeasonProblem, spot_of: SpotOf) -> Mapping[str, int]:
        """Deferred pupa → chance in tenths that its spot is free, as everybody hangs."""
        if self.deferred is None:
            return {}
        free, until = Vacancy(problem, spot_of, self.on), self.deferred.until
        spots = self.deferred.spots.items()
        return {name: int(TENTHS * free.chance(spot, until[name]) + 1e-9) for name, spot in spots}

    def _spots_after_all(self, problem: SeasonProblem, reservations: Reservations | None) -> list[float]:
        """Of those deferred for whom no spot was found at first, the chances of the spots found since."""
        until = self.deferred.until if self.deferred else {}
        coming = problem.instance.coming
        found = [(coming[k].name, spot, k) for spot, k in (reservations.reserved if reservations else ())]
        return [problem.instance.chance(spot, k) / TENTHS for name, spot, k in found if name in until]

    def _levels(
        self,
        problem: SeasonProblem,
        levels: Iterable[Level],
        changed: Sized,
        reservations: Reservations | None,
        later: Mapping[str, int],
    ) -> Iterator[Level]:
        """Where nobody can be moved only the clashes count; where some are deferred, that comes first."""
        if self.deferred is not None:
            found = self._spots_after_all(problem, reservations)
            levels = [_less(one, sum(1 - p for p in found)) if one.name == "room" else one for one in levels]
            sure = sum(_counted(p) for p in found) + sum(
                _counted(later[name] / TENTHS) - _counted(tenths / TENTHS)
                for name, tenths in self.deferred.tenths.items()  # before others were hung again
            )
            yield from (_less(one, sure) if one.name == "unplaced" else one for one in self.deferred.levels)
        for level in levels:
            if level.name == "stability":
                yield replace(level, value=len(changed))
            elif problem.movable or level.name not in ("left", "touched", "handling"):
                yield level if self.deferred is None else _at_best(level, self.deferred)


def _counted(chance: float) -> float:
    """What a spot counts that is free with a chance: one that surely is counts whole."""
    return 1.0 if chance >= SURE else chance


def _less(level: Level, by: float) -> Level:
    """The level with a value that is less by so much, and a bound that is no more."""
    value = round(max(0.0, (level.value or 0) - by), 6)
    bound = min(level.bound or 0, value)
    return replace(level, value=value, bound=bound, proved=value == bound)


def _at_best(level: Level, deferred: Deferred) -> Level:
    """The level bounded for whoever is deferred: what was proved is for those who are."""
    least = deferred.least.get(level.name)
    if least is None or level.bound is None or level.bound <= least:
        return level
    return replace(level, bound=least, proved=level.value == least)


def _drying(problem: SeasonProblem, spot_of: SpotOf) -> dict[str, float]:
    """Expected number of neighbour pairs drying their wings together: as planned, and all left as found."""
    inst, drying = problem.instance, problem.drying
    found = {"as_planned": spot_of, "as_found": {**inst.pinned, **inst.homes}}
    return {how: round(drying.expected(inst.graph, where), 3) for how, where in found.items()}


def _neighbours(
    problem: SeasonProblem, spot_of: SpotOf, days: float, pending: Iterable[TooClose]
) -> dict[str, float]:
    """The least days between two neighbours' dues, if any are known, and how many are due near the gap."""
    gap = gap_of_all(problem, spot_of, pending)
    near = {"close": float(count_near_dates(problem.instance, spot_of, days))}
    return near if math.isinf(gap) else {"smallest_gap": round(gap, 4)} | near


def _recorded(level: Level) -> plan_record.Level:
    return plan_record.Level(name=level.name, value=level.value, bound=level.bound, proved=level.proved)
