"""Why there is no plan without clashes: which pupae cannot all be hung, and what stops them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import combinations
from typing import cast

from planner.engine.explain.feasibility import has_solution
from planner.engine.explain.unsatisfiable_core import Core, find_cores
from planner.engine.model.instance import Node
from planner.engine.model.solver import Effort
from planner.engine.model.sub_instance import feasibility_question, sub_instance, without_pending_pairs
from planner.planning.problem.season_problem import SeasonProblem, season_problem
from planner.rack import Spot, spots
from planner.season import Lid, TooClose
from planner.season.places.dividers import End
from planner.season.plan.reason_record import Reason, Unusable

FAR = 1e9  # cm


def explain(
    problem: SeasonProblem,
    days: float,
    effort: Effort,
    *,
    rehang: bool = False,
    clashes: int | None = None,
) -> tuple[Reason, ...]:
    """The reasons found; none when a plan without clashes exists, or within the clock nothing was proved.

    Parameters
    ----------
    problem
        As it was planned.
    days
        The gap; 0 where only the risk counts.
    rehang
        Whether it was planned so that those that hang already may be moved.
    clashes
        How many a plan has that leaves nobody behind. Where all are pairs of two pinned pupae, that plan
        shows that all others can be hung. None: there is no such plan.
    """
    found = list(_of_pinned_pairs(problem, days))
    if len(found) == clashes:
        return tuple(found)
    effort.say("why there is no plan without clashes")
    for core in find_cores(without_pending_pairs(problem.instance), days, effort):
        found.append(_reason(problem, core, days, effort, rehang))
    return tuple(found)


def pinned_pairs(problem: SeasonProblem, days: float) -> list[TooClose]:
    """The pairs of two pinned pupae that clash, pending pairs left out. ``days``: the gap."""
    clashes, _ = problem.too_close(dict(problem.instance.pinned), days)
    return list(clashes)


def _of_pinned_pairs(problem: SeasonProblem, days: float) -> Iterator[Reason]:
    at = {problem.ids[i]: node for i, node in problem.instance.pinned.items()}
    for pair in pinned_pairs(problem, days):
        both = (pair.a, pair.b)
        where = _ends(problem, (at[name] for name in both))
        first, last = _days(problem, both)
        yield Reason(
            cause="held", pupae=both, minimal=True, spots=where, room=1, first=first, last=last,
            why=tuple(_why(problem, pupa) for pupa in both),
        )  # fmt: skip


def _why(problem: SeasonProblem, name: str) -> str:
    """Why a pupa is not to be touched."""
    pupa = problem.season.pupa[name]
    if problem.now[name].why:
        return problem.now[name].why
    return "to stay, as recorded" if pupa.stay else "hangs already"


def _reason(problem: SeasonProblem, core: Core, days: float, effort: Effort, rehang: bool) -> Reason:
    inst = problem.instance
    ids = tuple(problem.ids[i] for i in core.items)
    pinned = tuple(problem.ids[i] for i in core.pinned)
    unusable = tuple(_unusable(problem))
    lids = tuple(
        dict.fromkeys(problem.season.pupa[problem.ids[i]].place for i in core.items if i in inst.barred)
    )
    first, last = _days(problem, ids)
    some = Reason(
        cause="other", pupae=ids, hanging=pinned, clear=lids, minimal=core.minimal, unusable=unusable,
        room=len(ids) - 1, spots=_ends(problem, core.rest.values()),
        first=first, last=last,
    )  # fmt: skip
    if unusable and _would_do(problem, ids, pinned, days, effort, rehang):
        return replace(some, cause="unusable")
    if core.dates and core.pinned:
        return replace(some, cause="beside")
    if not core.dates:
        must = [problem.ids[i] for i in sorted({*core.items, *inst.barred})]
        return _of_crowd(problem, replace(some, cause="spots"), must)
    if all(inst.clash(a, b, days) for a, b in combinations(core.items, 2)):
        return _of_crowd(problem, replace(some, cause="apart"), _run(problem, core, days))
    return some


def _of_crowd(problem: SeasonProblem, reason: Reason, crowd: Sequence[str]) -> Reason:
    first, last = _days(problem, crowd)
    return replace(reason, crowd=tuple(crowd), first=first, last=last)


def _run(problem: SeasonProblem, core: Core, days: float) -> list[str]:
    """All who must leave and clash with all of the core and with one another: the earliest such."""
    inst, run = problem.instance, list(core.items)
    for i in sorted(inst.barred - set(run), key=lambda i: (inst.dues[i], i)):
        if all(inst.clash(i, other, days) for other in run):
            run.append(i)
    return [problem.ids[i] for i in sorted(run)]


def _would_do(
    problem: SeasonProblem,
    ids: Sequence[str],
    pinned: Sequence[str],
    days: float,
    effort: Effort,
    rehang: bool,
) -> bool:
    """Whether those could be hung if every spot were within reach and had room below."""
    season = replace(problem.season, lowest=-FAR, highest=FAR, clearance=-FAR)
    free = season_problem(season, problem.now, problem.risk, at=problem.at, rehang=rehang)
    item = {name: i for i, name in enumerate(free.ids)}
    part = sub_instance(
        feasibility_question(free.instance), [item[n] for n in ids], [item[n] for n in pinned]
    )
    return has_solution(part, days, effort) is True


def _unusable(problem: SeasonProblem) -> Iterator[Unusable]:
    for name, marks in spots(problem.season).items():
        for why, count in Counter(mark.unusable for mark in marks if mark.unusable).items():
            yield Unusable(place=name, count=count, why=why)


def _ends(problem: SeasonProblem, nodes: Iterable[Node]) -> tuple[End, ...]:
    found = [cast(Spot, node) for node in nodes]
    lids = {spot.place for spot in found if isinstance(problem.season.place[spot.place], Lid)}
    return tuple((spot.place, "" if spot.place in lids else spot.tag) for spot in found)


def _days(problem: SeasonProblem, ids: Sequence[str]) -> tuple[date | None, date | None]:
    due = [found.day for name in ids if (found := problem.now[name].due)]
    return min(due, default=None), max(due, default=None)
