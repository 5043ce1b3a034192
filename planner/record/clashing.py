"""Clashes that pupae hung by the keeper's choice make where they hang now."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime

from planner.follow.progress import Progress
from planner.season.plan.plan_record import Plan
from planner.verify import clashes
from planner.words import natural


def clashing_with(after: Progress, names: Collection[str], now: datetime) -> list[str]:
    """With whom they clash where they were hung by the keeper's choice. Recorded all the same: it is so."""
    season, plan = after.season, after.plan
    asked = replace(plan, on=now) if plan.hangs else Plan(on=now, gap_days=season.gap_days, hangs=())
    everybody = Progress(season, replace(asked, hangs=(), moves=(), clashes=(), waiting=(), left=(), kept=()))
    found = []
    for pair in clashes(season, everybody.rest):
        if pair.a in names or pair.b in names:
            name, other = (pair.a, pair.b) if pair.a in names else (pair.b, pair.a)
            near = "on one lid" if pair.distance is None else (
                f"{pair.distance / season.cm_per_unit:.3g} {season.units} apart"
            )  # fmt: skip
            undated = everybody.rest.undated([pair])
            why = f"and no date is known of {' and '.join(undated)}" if undated else asked.too_near
            found.append((natural(other), f"{name} and {other} clash: they hang {near}, {why}"))
    return [text for _, text in sorted(found)]
