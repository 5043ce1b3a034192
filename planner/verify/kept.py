"""The verifier's rules about reservations: spots kept for pupae to come."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import datetime, timedelta
from math import floor, hypot
from typing import TYPE_CHECKING

from planner.season.places import Lid, Line
from planner.season.season import Season
from planner.verify.case import Case, Findings, KeptSpot
from planner.verify.geometry import beside, in_the_way, parted
from planner.verify.places import SAME, TOUCH, Point, at_a_knot, clip_room, on_it, point

if TYPE_CHECKING:
    from planner.emergence import Emergence

SURE = 0.9  # chance with which a pupa must have emerged and dried before its spot counts as free
MINUTE = timedelta(minutes=1)


def kept_exists(case: Case) -> Findings:
    """Each reservation is on a usable spot, for somebody who will come, and no more are made than will come.

    Otherwise the keeper would count on room that is not there. The spot must be on a line or board, at a mark
    or a multiple of the line's step, off the knots, within the keeper's reach, with the clearance below it,
    and not closed after a sick pupa.
    """
    season = case.season
    for kept in case.plan.kept:
        place = season.place.get(kept.place)
        at = None if place is None or isinstance(place, Lid) else point(place, kept.spot, season.cm_per_unit)
        where = f"{kept.place} at {kept.spot}, kept for {kept.who},"
        if at is None or not on_it(at):
            yield (), f"{where} is no spot: allowed are spots of lines and boards"
            continue
        if isinstance(at.place, Line) and abs(at.x - round(at.x / (step := _step(at.place))) * step) > TOUCH:
            yield (), f"{where} is no spot: allowed are multiples of {season.length(step)}"
            continue
        if isinstance(at.place, Line) and at_a_knot(at.place, at.x, season):
            yield (), f"{where} is no spot: the knot of its line is there"
            continue
        height = at.rack[2]
        free = height - at.place.below
        if not season.lowest - TOUCH <= height <= season.highest + TOUCH or free < season.clearance - TOUCH:
            yield (), f"{where} cannot be used: allowed is within keeper reach, with clearance below"
            continue
        if sick := next((pupa for pupa, shut in case.closed if in_the_way(at, shut)), None):
            yield (), f"{where} is closed: {sick.id} was sick there: allowed is once it is cleaned"
    wanted = {name: one.count for name, one in case.coming.items()}
    for who, number in Counter(kept.who for kept in case.plan.kept).items():
        if number > wanted.get(who, 0):
            yield (), f"{number} kept for {who}: allowed are {wanted.get(who, 0)}, as many as will come"


def kept_in_time(case: Case) -> Findings:
    """Each reservation begins when the pupa can first be hung and states the day on which it is then due.

    It can be hung from the first time after it is firm at the hour of day at which the plan was made: the
    keeper is expected to work at the same hour each day. A wrong time could hide that the spot is still
    taken. Of a pupa on record any evening from then on will do, as `planner.verify.evenings` judges.
    """
    for one in case.kept:
        firm = case.coming[one.kept.who].firm
        come = firm + (case.plan.on - firm) % timedelta(days=1)
        later = one.kept.since > come and one.kept.who in case.forecasts
        if not later and abs(one.kept.since - come) > MINUTE:
            yield (), f"{one} from {one.kept.since}: allowed is {come}, when it is firm and can be hung"
        if one.kept.due != one.due.date():
            yield (), f"{one}, due {one.kept.due}: allowed is {one.due.date()}, as forecast"


def kept_is_free(case: Case) -> Findings:
    """Whoever hangs on a reserved spot, or too near to it for a second clip, has left it when it is needed.

    A pupa has left when it has emerged and dried its wings with the chance `SURE`. The same holds between two
    reservations. Otherwise there would be no room for the pupa that the spot is kept for.
    """
    for k, one in enumerate(case.kept):
        for other in case.hung_on.get(one.kept.place, ()):
            if other.at is None or not too_near(one.at, other.at):
                continue
            when = case.drying[other.pupa.id]
            left = None if when is None else when.dry_by(SURE)
            if left is None or left > one.kept.since + MINUTE:
                free = f"from {left:%Y-%m-%d %H:%M}, when that is gone" if left else "when that is gone"
                yield (other.pupa.id,), f"{one}, is taken by {other.pupa.id}: allowed is {free}"
        for later in case.kept[k + 1 :]:
            if later.at.place is one.at.place and not in_turn(case, one, later):
                yield (), f"{one} and {later}: allowed is one at a time"


def kept_apart(case: Case) -> Findings:
    """A pupa to come would keep the separation demanded of all neighbours, and neighbour none without a date.

    A spot on which it would clash is no room for it.
    """
    season = case.season
    likely = {} if case.plan.risk is None else case.drying_later
    here = [(str(one), one.at, one.due, likely.get(one.pupa.id)) for one in case.kept]
    there = [
        (case.with_due(one.pupa.id), one.at, due.median if due else None, case.chances.get(one.pupa.id))
        for one in case.hung
        if one.at and ((due := case.due(one.pupa.id)) or case.undated(one.pupa.id))
    ]
    columns: defaultdict[tuple[str | None, int], list[tuple[str, Point, datetime | None, Emergence | None]]]
    columns = defaultdict(list)
    for one in there:
        columns[_column(one[1], season)].append(one)
    for name, at, when, chance in here:
        frame, column = _column(at, season)
        # Whoever is beside it is less than a wing reach to its left or right: in one of three columns.
        for other, bt, then, its_chance in [o for c in (-1, 0, 1) for o in columns[frame, column + c]]:
            if not beside(at, bt, season.wing_reach, season.drop) or parted(season, at, bt):
                continue
            if at.key == bt.key:
                continue  # one after the other, as `kept_is_free` judges
            if then is None:
                yield (), f"{name}, is beside {other}: allowed is nobody without a date beside it"
                continue
            days = abs((when - then).total_seconds()) / 86400
            if days < case.plan.gap_days - 1e-3 or case.too_likely(chance, its_chance):
                yield (), f"{name}, is beside {other}, {days:g} days from it: allowed is {case.wanted}"
        columns[frame, column].append((name, at, when, chance))


def _column(at: Point, season: Season) -> tuple[str | None, int]:
    """The frame of a point and the number of its column, each a wing reach wide, from the left.

    A frame is None for all places whose stand is known, else the place's name.
    """
    return None if at.place.located else at.place.name, floor(at.rack[0] / max(season.wing_reach, SAME))


def _step(line: Line) -> float:
    """Cm between spots of a line: between its marks, or the step to which sliding clips are placed."""
    return line.clips_every or line.to_nearest


def too_near(a: Point, b: Point) -> bool:
    """Whether two points of one place are too near for two clips.

    On a line: nearer than a sliding clip's width, or than half the distance of fixed marks.
    """
    if isinstance(a.place, Line):
        return abs(a.x - b.x) < clip_room(a.place) - TOUCH
    return hypot(a.x - b.x, a.y - b.y) < SAME


def in_turn(case: Case, one: KeptSpot, other: KeptSpot) -> bool:
    """Whether two to come can have two spots of a place: if they are too near, one after the other."""
    if not too_near(one.at, other.at):
        return True
    first, second = sorted((one, other), key=lambda c: c.kept.since)
    leaves = case.drying_later[first.pupa.id]
    return leaves is not None and leaves.dry_by(SURE) <= second.kept.since + MINUTE
