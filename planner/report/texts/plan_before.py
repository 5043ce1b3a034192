"""What no longer holds of the plan before and of what was printed from it: moves, steps, tags."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.words import call, few_ids, void_steps


def no_longer_holds(season: Season, plan: Plan, old_tags: Collection[str]) -> Iterator[str]:
    """A sentence for moves, steps and tags each, where there are such; ``old_tags``: whose printed tags."""
    if told := "; ".join(_other_moves(plan)):
        yield f"Other than planned before: {told}."
    if text := void_steps(plan.void):
        yield text
    if old_tags:
        again = call("tags", season.folder, "--changed")
        tags, hold, them = ("tag", "holds", "it") if len(old_tags) == 1 else ("tags", "hold", "them")
        yield f"The printed {tags} of {few_ids([*old_tags])} no longer {hold}: '{again}' prints {them} anew."


def _other_moves(plan: Plan) -> Iterator[str]:
    """Who goes to another spot than the plan before had for it, and who is not to be moved any more."""
    moved = {*plan.movers, *(one.who for one in plan.later)}
    go = [one.pupa for one in plan.changed if one.pupa in moved]
    stay = [one.pupa for one in plan.changed if one.pupa not in moved]
    if go:
        yield f"{few_ids(go)} {'goes' if len(go) == 1 else 'go'} elsewhere"
    if stay:
        yield f"{few_ids(stay)} {'stays where it hangs' if len(stay) == 1 else 'stay where they hang'}"
