"""When spots run short: on which day most, for how many, and what would mend it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from datetime import date

from planner.emergence import arrivals
from planner.follow.outlook import Room, RoomOnDay
from planner.season.plan.plan_record import Plan
from planner.season.reading.told_dates import day_text
from planner.season.season import Season
from planner.words import count


def worst_day(room: Room) -> RoomOnDay | None:
    """The day on which most spots may be lacking; None when none are."""
    worst = min(room.days, key=lambda d: (d.free_least, d.free))
    return worst if worst.free_least < 0 else None


def mending(season: Season, room: Room) -> Iterator[str]:
    """How many are lacking, and what would mend it; nothing while there are spots enough."""
    worst = worst_day(room)
    if worst is None:
        return
    mean, most = round(-worst.free, 1), -worst.free_least
    average = f"{mean:g} on average, " if mean > 0 else ""
    yield f"Most are lacking on {day_text(worst.day)}: {average}up to {most}."
    ways = [f"{count(most, 'more spot')}{_as_here(season, most)}"]
    again = next((d.day for d in room.days if d.day > worst.day and d.free_least >= 0), None)
    if again is not None:
        ways.append(f"hang {most} fewer until {day_text(again)}, when there is room again")
    yield "What would mend it: " + "; or ".join(ways) + "."


def _as_here(season: Season, spots: int) -> str:
    """So many spots made as they are in this season: a length of line, or else pins of a board."""
    offering = [place for place in season.places if place.offers_spots]
    if not offering:
        return ""
    return f" ({min(offering, key=lambda place: place.stacked).as_here(spots, season)})"


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
