"""What is left of a plan without the steps that would do harm by what is recorded now.

A plan about to be written must keep every rule. Of the plan in force only a step can do harm: by moving a
pupa that must not be touched, by moving it to a spot that is occupied or out of reach, or beside one with
which it would clash. Such a step is refused with all steps that must come after it; the others remain.

What the plan says about pupae that no step moves is only brought up to date: which pairs clash now, who is
left, why, and which spots are reserved.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.follow.breaches import Broken
from planner.follow.progress import Progress
from planner.season.places import Lid
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Hang, Plan, Stuck, TooClose
from planner.season.reading.problems import Problem
from planner.season.season import Season
from planner.verify import clashes, verify

OF_THE_RACK = ("spot", "position")  # a plan that breaks them is for another rack: no spot is reliable
NOT_PLANNED = "not in the plan yet"


@dataclass(frozen=True)
class Rest:
    """What is left of a plan, and what was left out.

    Attributes
    ----------
    plan
        What is left.
    refused
        The steps left out, one problem for each reason.
    found
        The breaches that remain: with any of them the plan cannot be followed.
    pairs
        Pairs of pupae that no step moves which clash now and were not listed by the plan.
    """

    plan: Plan
    refused: list[Problem]
    found: list[Problem]
    pairs: list[TooClose]


def without_harm(season: Season, progress: Progress) -> Rest:
    """What is left of a plan when harmful steps are left out until no breach is caused by one that is left.

    Each round leaves out the steps of one pupa at least, so the loop ends.
    """
    why: dict[str, str] = {}
    told: list[Problem] = []
    while True:
        plan, pairs = _up_to_date(season, progress, _leaving_out(progress, why))
        step = {m.pupa: m.step for m in plan.moves}
        breaches = verify(season, plan)
        harm: dict[str, str] = {}
        other_rack = any(breach.rule in OF_THE_RACK for breach in breaches)
        for breach in () if other_rack else breaches:
            movers = [name for name in breach.pupae if name in step and name not in harm]
            if movers and not any(name in harm for name in breach.pupae):
                harm[max(movers, key=lambda name: step[name])] = breach.what
                told.append(Broken(plan_file.FILE, 0, 0, breach.rule, breach.what))
        if not harm:
            found: list[Problem] = [Broken(plan_file.FILE, 0, 0, b.rule, b.what) for b in breaches]
            return Rest(plan, told, found, pairs)
        why |= dict.fromkeys(harm, "its step would do harm by what is recorded now")


def with_followers(plan: Plan, why: Iterable[str]) -> dict[str, str]:
    """The pupae whose steps must come after those of pupae that stay, so that they stay as well.

    The result holds the reason by id.

    Parameters
    ----------
    why
        Ids of the pupae that stay.
    """
    stay, more = set(why), dict[str, str]()
    while after := [
        m for m in plan.moves
        if m.pupa not in stay and any(one.step in m.after and one.pupa in stay for one in plan.moves)
    ]:  # fmt: skip
        stay |= {m.pupa for m in after}
        more |= {m.pupa: "the spot it should go to is not free" for m in after}
    return more


def _leaving_out(progress: Progress, why: dict[str, str]) -> Plan:
    """The rest of the plan with some pupae, and those whose steps come after theirs, left where they hang.

    Parameters
    ----------
    why
        By id, the reason why a pupa stays; it is listed under ``stuck``.
    """
    rest = progress.rest
    if not why:
        return rest
    reasons = why | with_followers(rest, why)
    stay = tuple(_where_it_is(progress, h) if h.pupa in reasons else h for h in rest.hangs)
    moves = tuple(m for m in rest.moves if m.pupa not in reasons)
    stuck = (*rest.stuck, *(Stuck(pupa=name, why=text) for name, text in sorted(reasons.items())))
    return replace(rest, hangs=stay, moves=moves, stuck=stuck)


def _where_it_is(progress: Progress, hang: Hang) -> Hang:
    """The entry of a pupa with the spot where it hangs now, and no move."""
    spot = progress.here[hang.pupa]
    tag = "?" if spot.at is None else spot.tag
    return replace(hang, place=spot.place, spot=tag, x=spot.x, y=spot.y, from_place=None)


def _up_to_date(season: Season, progress: Progress, rest: Plan) -> tuple[Plan, list[TooClose]]:
    """The plan with its statements on pupae that no step moves brought up to date, and the new clashes.

    A pair with a pupa still to be moved is listed only if the plan listed it: otherwise the step would cause
    the clash, which the verifier is to find.
    """
    on_lid = {h.pupa for h in rest.hangs if isinstance(season.place.get(h.place), Lid)}
    movers, now = set(rest.movers), progress.forecasts
    waits = tuple(
        w for w in rest.waits
        if w.pupa in on_lid and (f := now.get(w.pupa)) and f.movable
        and w.until > rest.on and not (f.dark_from and w.until >= f.dark_from)
    )  # fmt: skip
    later = {name for name, f in now.items() if f.stage == "soft"} | {w.pupa for w in waits}
    later -= {name for name in later if season.pupa[name].stay or name not in on_lid}
    listed = {frozenset((c.a, c.b)): c for c in (*rest.clashes, *rest.waiting)}
    sure = {frozenset((c.a, c.b)) for c in rest.clashes}
    clashing, waiting, new = list[TooClose](), list[TooClose](), list[TooClose]()
    for pair in clashes(season, rest):
        key = frozenset((pair.a, pair.b))
        known, moved = listed.get(key), bool(key & movers)
        if moved and key not in sure:
            continue
        if known is None:
            pending = bool(key & later)
            (waiting if pending else clashing).append(replace(pair, why=NOT_PLANNED if pending else ""))
            new += [] if pending else [pair]
        elif key in sure or not key & later:
            clashing.append(replace(pair, why=known.why if key in sure else ""))
            new += [] if key in sure else [pair]
        else:
            waiting.append(replace(pair, why=known.why))
    clear = {p.name for p in season.places if isinstance(p, Lid) and p.clear}
    at = {h.pupa: h.place for h in rest.hangs}
    staying = [name for name, place in at.items() if place in clear]
    left = [name for name in rest.left if at.get(name) in clear]
    left += [name for name in staying if name not in left]
    told = bool(clashing or left)
    as_planned = not (progress.redated or rest.stuck != progress.rest.stuck)
    plan = replace(
        rest,
        clashes=tuple(sorted(clashing, key=lambda c: (c.gap, c.a, c.b))) if new else tuple(clashing),
        waiting=tuple(waiting),
        left=tuple(dict.fromkeys(left)),
        waits=waits,
        stuck=tuple(s for s in rest.stuck if s.pupa not in movers),
        reason=rest.reason if told else (),
        ways_out=rest.ways_out if told else (),
        kept=rest.kept if as_planned else tuple(one for one in rest.kept if one in rest.later),
    )
    return _keeping_what_holds(season, plan), new


def _keeping_what_holds(season: Season, plan: Plan) -> Plan:
    """The plan without what no longer holds of evenings to come, and without reservations that do not."""
    while plan.kept or plan.hoped:
        found = verify(season, plan)
        off = {b.pupae[0] for b in found if b.rule == "evenings"}
        if not off:
            return replace(plan, kept=()) if any(b.rule == "kept" for b in found) else plan
        kept, hoped = (tuple(one for one in ones if one.who not in off) for ones in (plan.kept, plan.hoped))
        plan = replace(plan, kept=kept, hoped=hoped)
    return plan
