"""Clashes that a pupa hung by the keeper's choice makes where it hangs now."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from planner.follow.progress import Progress
from planner.season.plan.plan_record import Plan
from planner.verify import clashes
from planner.words import natural


def clashing_with(after: Progress, name: str, now: datetime) -> list[str]:
    """With whom one clashes where it was hung by the keeper's choice. Recorded all the same: it is so."""
    season, plan = after.season, after.plan
    asked = replace(plan, on=now) if plan.hangs else Plan(on=now, gap_days=season.gap_days, hangs=())
    everybody = Progress(season, replace(asked, hangs=(), moves=(), clashes=(), waiting=(), left=(), kept=()))
    found = []
    for pair in clashes(season, everybody.rest):
        if name in (pair.a, pair.b):
            other = pair.b if pair.a == name else pair.a
            near = "on one lid" if pair.distance is None else (
                f"{pair.distance / season.cm_per_unit:.3g} {season.units} apart"
            )  # fmt: skip
            undated = everybody.rest.undated([pair])
            why = f"and no date is known of {' and '.join(undated)}" if undated else asked.too_near
            found.append((natural(other), f"{name} and {other} clash: they hang {near}, {why}"))
    return [text for _, text in sorted(found)]
