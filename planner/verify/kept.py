"""The verifier's rules about spots kept for those to come."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import datetime, timedelta
from math import floor, hypot

from planner.emergence import Emergence, emergences, profile_of
from planner.season.places import Lid, Line
from planner.season.season import Season
from planner.verify.case import Case, Findings
from planner.verify.geometry import beside, in_the_way, parted
from planner.verify.places import SAME, TOUCH, Point, at_a_knot, clip_room, cm, on_it, point

SURE = 0.9  # a spot is given away when its pupa has emerged and dried with this chance
MINUTE = timedelta(minutes=1)


def kept_exists(case: Case) -> Findings:
    """A kept spot is one that can be used, and is kept for somebody who will come, as many as will."""
    season = case.season
    for kept in case.plan.kept:
        place = season.place.get(kept.place)
        at = None if place is None or isinstance(place, Lid) else point(place, kept.spot, season.cm_per_unit)
        where = f"{kept.place} at {kept.spot}, kept for {kept.who},"
        if at is None or not on_it(at):
            yield (), f"{where} is no spot: allowed are spots of lines and boards"
            continue
        if isinstance(at.place, Line) and abs(at.x - round(at.x / (step := _step(at.place))) * step) > TOUCH:
            yield (), f"{where} is no spot: allowed are multiples of {cm(step)}"
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
    """It is kept from when its pupa is firm, at the hour of the plan, for the day it is due."""
    for one in case.kept:
        firm = case.coming[one.kept.who].firm
        come = firm + (case.plan.on - firm) % timedelta(days=1)
        if abs(one.kept.since - come) > MINUTE:
            yield (), f"{one} from {one.kept.since}: allowed is {come}, when it is firm and can be hung"
        if one.kept.due != one.due.date():
            yield (), f"{one}, due {one.kept.due}: allowed is {one.due.date()}, as forecast"


def kept_is_free(case: Case) -> Findings:
    """Whoever hangs on a kept spot, or so near that two clips would not fit, has left it by then."""
    if not (coming := case.kept):
        return
    chances = emergences(case.season, [one.pupa for one in case.hung], case.plan.on)
    for k, one in enumerate(coming):
        for other in case.hung_on.get(one.kept.place, ()):
            if other.at is None or not too_near(one.at, other.at):
                continue
            emergence = None if case.undated(other.pupa.id) else chances[other.pupa.id]
            left = None if emergence is None else left_by(case, emergence)
            if left is None or left > one.kept.since + MINUTE:
                free = f"from {left:%Y-%m-%d %H:%M}, when that is gone" if left else "when that is gone"
                yield (other.pupa.id,), f"{one}, is taken by {other.pupa.id}: allowed is {free}"
        for later in coming[k + 1 :]:
            if later.at.place is one.at.place and too_near(one.at, later.at):
                first, second = sorted((one, later), key=lambda c: c.kept.since)
                if left_by(case, first.emergence) > second.kept.since + MINUTE:
                    yield (), f"{one} and {later}: allowed is one at a time"


def kept_apart(case: Case) -> Findings:
    """Who is to hang there keeps the same distance from its neighbours, in days or chance, as everybody.

    Nobody is to hang beside one without a date.
    """
    season = case.season
    here = [(str(one), one.at, one.due, one.emergence) for one in case.kept]
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
    """Which frame a point is in, and which wing reach of it from the left."""
    return None if at.place.located else at.place.name, floor(at.rack[0] / max(season.wing_reach, SAME))


def _step(line: Line) -> float:
    """How far apart the spots of a line are: its marks, or how finely sliding clips are placed."""
    return line.clips_every or line.to_nearest


def too_near(a: Point, b: Point) -> bool:
    """Too near for two clips: within a sliding clip's width, or half the step of marks."""
    if isinstance(a.place, Line):
        return abs(a.x - b.x) < clip_room(a.place) - TOUCH
    return hypot(a.x - b.x, a.y - b.y) < SAME


def left_by(case: Case, one: Emergence) -> datetime:
    """When it has surely emerged and its wings are dry."""
    return one.quantile(SURE) + timedelta(hours=profile_of(case.season, one.species).wing_drying)
