"""When spots run short: on which day most, for how many, and what would mend it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from datetime import date

from planner.emergence import arrivals
from planner.follow.outlook import Room, RoomOnDay
from planner.season.places import Board, Line
from planner.season.plan_record import Plan
from planner.season.season import Season
from planner.season.when import day_text
from planner.words import count


def worst_day(room: Room) -> RoomOnDay | None:
    """The day on which most spots may be lacking; None when none are."""
    worst = max(room.days, key=lambda d: (d.needed_most, d.needed))
    return worst if worst.needed_most > room.spots else None


def mending(season: Season, room: Room) -> Iterator[str]:
    """How many are lacking, and what would mend it; nothing while there are spots enough."""
    worst = worst_day(room)
    if worst is None:
        return
    mean, most = round(worst.needed - room.spots, 1), worst.needed_most - room.spots
    average = f"{mean:g} on average, " if mean > 0 else ""
    yield f"Most are lacking on {day_text(worst.day)}: {average}up to {most}."
    ways = [f"{count(most, 'more spot')}{_as_yarn(season, most)}"]
    again = next((d.day for d in room.days if d.day > worst.day and d.needed_most <= room.spots), None)
    if again is not None:
        ways.append(f"hang {most} fewer until {day_text(again)}, when there is room again")
    yield "What would mend it: " + "; or ".join(ways) + "."


def _as_yarn(season: Season, spots: int) -> str:
    """So many spots as a length of line, made as the lines of this season are; or as a board's pins."""
    for place in season.places:
        if isinstance(place, Line):
            step = place.clips_every or place.clip_width or 0.0
            length = math.ceil(spots * step / season.cm_per_unit - 1e-9)
            how = "with marks as on" if place.clips_every else "at least, clip to clip as on"
            return f" ({length} {season.units} of line {how} {place.name})"
    boards = [place for place in season.places if isinstance(place, Board)]
    return f" (pins as on board {boards[0].name})" if boards else ""


def unhoused(season: Season, plan: Plan) -> Iterator[str]:
    """Who of those to come finds no spot under the plan, by day: there its neighbours would be too near."""
    missing = sum(math.ceil((level.value or 0) - 1e-9) for level in plan.proof if level.name == "room")
    if not missing:
        return
    kept = Counter(kept.who for kept in plan.kept)
    lacking: Counter[date] = Counter()
    for one in arrivals(season, plan.on.date()):
        assert one.pupa.pupated is not None
        lacking[one.pupa.pupated.day] += one.count - kept[one.name]
    those = [f"{number} of {day_text(day)}" for day, number in sorted(lacking.items()) if number > 0]
    who = f" ({', '.join(those)})" if those else ""
    yield (
        f"Near dates are in the way: under the plan in force {missing} of those to come{who} find no "
        "spot away from pupae of near dates. More line, a plan with --rehang or, once they are firm, one "
        "with --wait may mend that."
    )
