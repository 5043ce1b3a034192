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
    judged = replace(left, moves=tuple(replace(m, step=i) for i, m in enumerate(steps, start=1)))
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
    target = {m.pupa: (m.to_place, m.to_spot) for m in plan.moves}
    done = {
        p.id for p in season.pupae
        if p.id in target and p.place == target[p.id][0] and home_of(season, p.id).tag == target[p.id][1]
    }  # fmt: skip
    return replace(
        plan,
        hangs=tuple(
            replace(h, from_place=None) if h.pupa in done else h for h in plan.hangs if h.pupa not in gone
        ),
        moves=tuple(m for m in plan.moves if m.pupa not in gone | done),
        clashes=tuple(c for c in plan.clashes if not {c.a, c.b} & gone),
        waiting=tuple(c for c in plan.waiting if not {c.a, c.b} & gone),
        left=tuple(p for p in plan.left if p not in gone),
        proof=(),
    )
