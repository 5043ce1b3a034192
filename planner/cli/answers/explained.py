"""Once a plan with clashes is saved: why there is none without, and the ways out, added to its file."""

from __future__ import annotations

from dataclasses import replace

from planner.cli.shell.talk import tell
from planner.report.texts.reason import reason_texts
from planner.report.texts.ways_out import way_texts
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.plan.reason_record import Explained
from planner.season.season import Season
from planner.season.store import Store, StoreError
from planner.season.store.history import changes


def explained(season: Season, plan: Plan, found: Explained) -> Plan:
    """The plan with the reason and the ways out in words."""
    reason = reason_texts(season, plan, found.reasons)
    return replace(plan, reason=reason, ways_out=way_texts(season, found.ways))


def store_again(season: Season, plan: Plan, written: str) -> None:
    """Write a plan with its words in place of that ``written`` (its digest), unless another is there by now.

    The plan is safe already.
    """
    if not plan.reason and not plan.ways_out:
        return
    try:
        store = Store(season.folder)
        with store.locked():
            last = changes(store.history)[-1:]
            mine = [c.number for c in last if any(f.after == written for f in c.files)]
            what = "plan: why there are clashes, and ways out"
            store.describe(what, goes_with=mine[0] if mine else None)
            store.write(plan_file.FILE, plan_file.dump(plan), written)
    except StoreError as e:
        tell(f"the reason and the ways out are not in {plan_file.FILE}: {e}")
