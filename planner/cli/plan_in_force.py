"""The part of the plan in force that still holds after pupae were moved and have emerged."""

from __future__ import annotations

from dataclasses import replace

from planner.cli.season_files import breaches
from planner.cli.talk import call
from planner.season import plan_file
from planner.season.plan_record import Plan
from planner.season.season import Season


def plan_that_holds(season: Season) -> tuple[Plan | None, str]:
    """What the plan still asks for, if the verifier passes that; else None, and why there is none.

    Raises FaultyFiles when ``plan.yaml`` cannot be read.
    """
    plan = plan_file.read(season.folder)
    if plan is None:
        return None, f"there is no plan yet: '{call('plan', season.folder)}' makes one"
    left = still_to_do(season, plan)
    steps = sorted(left.moves, key=lambda m: m.step)  # of the move list; the verifier wants them from 1 on
    number = {m.step: i for i, m in enumerate(steps, start=1)}
    moves = (replace(m, step=number[m.step], after=tuple(number[n] for n in m.after)) for m in steps)
    judged = replace(left, moves=tuple(moves))
    if next(breaches(season, judged), None):
        again = f"'{call('plan', season.folder)}' makes a new one, '{call('check', season.folder)}' says why"
        return None, f"the plan in force cannot be hung by any more: {again}"
    return left, ""


def still_to_do(season: Season, plan: Plan) -> Plan:
    """A plan without those that are gone and the moves carried out.

    What it proved was of all, and is left out.
    """
    from planner.rack import home_of

    gone = {p.id for p in season.pupae if not p.present}
    here = {p.id: (p.place, home_of(season, p.id).tag) for p in season.pupae if p.present}
    steps = sorted(plan.moves, key=lambda m: m.step)
    # The last step that ends where the pupa is now was done, and so was its first if it has been parked.
    reached = {m.pupa: m.step for m in steps if here.get(m.pupa) == (m.to_place, m.to_spot)}
    left = [m for m in steps if m.pupa not in gone and m.step > reached.get(m.pupa, 0)]
    source = {m.pupa: m.from_place for m in reversed(left)}
    todo = {m.step for m in left}
    return replace(
        plan,
        hangs=tuple(
            replace(h, from_place=source.get(h.pupa)) if h.pupa in reached else h
            for h in plan.hangs
            if h.pupa not in gone
        ),
        moves=tuple(replace(m, after=tuple(n for n in m.after if n in todo)) for m in left),
        clashes=tuple(c for c in plan.clashes if not {c.a, c.b} & gone),
        waiting=tuple(c for c in plan.waiting if not {c.a, c.b} & gone),
        left=tuple(p for p in plan.left if p not in gone),
        stuck=tuple(s for s in plan.stuck if s.pupa not in gone),
        proof=(),
    )
