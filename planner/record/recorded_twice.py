"""Newcomers that two phones recorded: the same day and, as well as one taps, the same point of a lid."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.record.event import Recorded
from planner.record.near import Points
from planner.record.newcomers import find_lid
from planner.record.taken import Log
from planner.record.written_event import NEW
from planner.season.places import Lid
from planner.season.season import Season


def recorded_twice(season: Season, events: Sequence[Recorded], log: Log) -> dict[str, str]:
    """Of events that tell of somebody known: the id on record, or ``+`` and the event that came before.

    What one phone recorded twice are two: whoever tapped saw both.
    """
    device_of = {e.pupa: e.event.device for e in log.entries if isinstance(e.event, Recorded) and e.now}
    points = Points[tuple[str, date | None, str]]()
    for p in season.pupae:
        if p.present and p.x is not None and p.y is not None:
            points.add(
                p.place, p.x, p.y, (p.id, p.pupated.day if p.pupated else None, device_of.get(p.id, ""))
            )
    found: dict[str, str] = {}
    for e in events:
        lid, one = find_lid(season, e.newcomer.lid), e.newcomer
        if not isinstance(lid, Lid) or one.point is None:
            continue  # a lid that there is not is refused where it is judged
        x, y = (v * season.cm_per_unit for v in one.point)
        day = one.pupated.day if one.pupated else None
        near = [(off, name) for off, (name, known, by) in points.near(lid.name, x, y)
                if known == day and by != e.device]  # fmt: skip
        if near:
            found[e.id] = min(near)[1]
        else:
            points.add(lid.name, x, y, (NEW + e.id, day, e.device))
    return found
