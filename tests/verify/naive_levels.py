"""The naive verifier's rule of levels: each value counted out again, everybody compared with everybody."""

import math
from collections import Counter
from datetime import timedelta
from functools import cache
from itertools import combinations
from statistics import mean

from naive_case import usable
from naive_evenings import MINUTE, planned
from naive_kept import comers, kept_well
from naive_room import There, can_be_clipped, clips_meet, on_its_place, room, same, spot

from planner.emergence import emergences, profile_of, together
from planner.season import Board, Lid, Line

NAMES = (
    "unplaced", "waiting", "left", "clashes", "trouble", "touched", "handling", "stability", "room",
    "smallest_gap", "close", "risk", "elbow_room", "length", "carrying",
)  # fmt: skip
PLACES_IN_ORDER = {name: (n,) for n, name in enumerate(NAMES)}
WIDEST = {"touched": (5, 9.5), "handling": (5, 9.5), "stability": (7, 9.6)}


def proof(c):
    levels = c.plan.proof
    if any(n > 1 for n in Counter(level.name for level in levels).values()):
        return False
    if {"touched", "handling"} <= {level.name for level in levels}:
        return False
    last, places = -1, dict(PLACES_IN_ORDER)
    if "smallest_gap" in [level.name for level in levels]:
        places |= WIDEST
    for level in levels:
        later = [n for n in places.get(level.name, ()) if n > last]
        if not later or not _right(c, level):
            return False
        last = later[0]
    if "room" in [level.name for level in levels] and c.plan.hoped:
        return kept_well(c, [*c.plan.kept, *c.plan.hoped], free=False) and _hope_is_founded(c)
    told = c.plan.neighbours.items()
    return all(name in ("smallest_gap", "close") and _is(name, said, c) for name, said in told)


def _is(name, said, c):
    true = globals()["_" + name](c)
    return said == true or abs(said - true) < {"smallest_gap": 1e-4}.get(name, 1e-6)


def _right(c, level):
    """Whether the value is what it should be, the bound no worse, and proved just when they meet."""
    value, bound = (math.inf if x is None else x for x in (level.value, level.bound))
    if level.name != "smallest_gap" and math.inf in (value, bound):
        return False
    if (bound < value) if level.name == "smallest_gap" else (bound > value):
        return False
    if level.proved != (value == bound):
        return False
    true = globals()["_" + level.name](c)
    return value == true or abs(value - true) < {"smallest_gap": 1e-4, "length": 0.01, "carrying": 0.01}.get(
        level.name, 1e-6
    )


def can_be_moved(c):
    """Ids of those of whom the plan decides."""
    priced = any(level.name == "handling" for level in c.plan.proof)
    off = {one.pupa for one in (*c.plan.waits, *c.plan.stuck)}
    return {
        p.id
        for p in (h.pupa for h in c.hung)
        if p.id in c.forecast
        and c.forecast[p.id].stage == "firm"
        and not p.stay
        and p.id not in off
        and (priced or isinstance(c.season.place[p.place], Lid))
    }


def _waiting(c):
    until = {w.pupa: w.until for w in c.plan.waits}
    firm = [(until[w.pupa], c.forecast[w.pupa].firm_from) for w in c.plan.waits if _known(c, w)]
    return sum((last - first) // timedelta(days=1) for last, first in firm)


def _unplaced(c):
    found = 0.0
    for w in c.plan.waits:
        if w.pupa not in [k.who for k in c.plan.kept]:
            maybe = [k.chance or 0 for k in c.plan.hoped if k.who == w.pupa]
            found += 1 - math.floor(10 * maybe[-1] + 1e-9) / 10 if maybe else 1
    return round(found, 6)


def _known(c, one):
    return one.pupa in c.forecast and c.forecast[one.pupa].firm_from


def _left(c):
    mine = can_be_moved(c)
    return sum(isinstance(h.place, Lid) and h.place.clear and h.stays and h.pupa.id in mine for h in c.hung)


def _clashes(c):
    return len(c.plan.clashes)


def _trouble(c):
    spread = max(0.1, mean([f.due.sd for f in c.forecast.values() if f.due] or [1])) * 2**0.5

    def below(x):
        return (1 + math.erf(x / spread / 2**0.5)) / 2

    mine, total = can_be_moved(c), 0
    for pair in c.close:
        if pair & mine:
            whole = math.floor(_apart(c, pair) + 1e-6)
            total += round(1000 * (below(0.5 - whole) - below(-0.5 - whole)))
    return total


def _apart(c, pair):
    if c.any_day(*pair):
        return 0.0
    first = min(f.due.median for f in c.forecast.values() if f.due)
    one, two = (round((c.due(name).median - first) / timedelta(days=1), 6) for name in pair)
    return abs(one - two)


def _touched(c):
    return len({m.pupa for m in c.moves})


def _stability(c):
    hangs = {(h.pupa, h.place, h.spot) for h in c.plan.hangs}
    gone = {one.pupa for one in c.plan.changed if (one.pupa, one.place, one.spot) not in hangs}
    return len(gone & can_be_moved(c))


def _handling(c):
    price = c.plan.settings.get("rehang_price", math.nan)
    movers = {m.pupa for m in c.moves if m.pupa in c.season.pupa}
    return sum(1 if isinstance(c.season.place[c.season.pupa[m].place], Lid) else price for m in movers)


def _smallest_gap(c):
    waiting = [{t.a, t.b} for t in c.plan.waiting]
    gaps = (_apart(c, pair) for pair in c.near if set(pair) not in waiting and not c.any_day(*pair))
    return min(gaps, default=math.inf)


def _close(c):
    mine = can_be_moved(c)
    gaps = [_apart(c, pair) for pair in c.near if pair & mine]
    return sum((g < c.plan.gap_days + 1 - 1e-6) + (g < c.plan.gap_days + 2 - 1e-6) for g in gaps)


def _risk(c):
    chance = emergences(c.season, c.present, c.on)
    parts = 0
    for pair in c.near:
        if not c.any_day(*pair):
            one, other = (chance[name] for name in sorted(pair))
            both = together(one, other)
            parts += 0 if both < 1e-4 else math.ceil(1000 * both - 1e-9)
    return parts / 1000


def _elbow_room(c):
    need = c.season.elbow_room if c.season.elbow_room is not None else c.season.wing_reach / 2
    count = 0
    for a, b in combinations([h for h in c.hung if h.at and h.at.x is not None and h.pupa.pupated], 2):
        one_room = a.place is b.place or (stands(a.place) and stands(b.place))
        if one_room and not (a.stays and b.stays) and a.pupa.id != b.pupa.id:
            count += math.dist(room(a.at), room(b.at)) < need - 1e-6
    return count


def _length(c):
    last = {}
    for h in c.hung:
        if isinstance(h.place, Line) and h.place.clip_width:
            last[h.place.name] = max(last.get(h.place.name, 0), h.hang.x or 0)
    return sum(last.values())


def _room(c):
    wanted = to_come(c)
    those = [k for k in (*c.plan.kept, *c.plan.hoped) if k.who in wanted and _real(c, k)]
    got = sum(free_by_then(c, k) for k in those if abs(k.since - _first(c, wanted[k.who][1])) <= MINUTE)
    return (10 * sum(many for _, _, many in wanted.values()) - got) / 10


def _first(c, firm):
    """The first time at the hour of the plan at which one firm from then on can be hung."""
    visit = c.on
    while visit < firm:
        visit += timedelta(days=1)
    while visit - timedelta(days=1) >= firm:
        visit -= timedelta(days=1)
    return visit


def _real(c, k):
    return spot(c.season, k.place, k.spot) is not None


def to_come(c):
    """Who will need a spot: all expected; and of those who cannot be moved yet whoever must leave its lid."""
    everybody, mine = comers(c), can_be_moved(c)
    days = c.season.gap_days if "risk" in c.plan.settings else c.plan.gap_days
    fixed = {h.pupa.id: h.place for h in c.hung if h.pupa.id not in mine and isinstance(h.place, Lid)}
    lids = {fixed[name].name for name in fixed if name in everybody}
    staying = {name for name, place in fixed.items() if place.name in lids}
    found = {name: one for name, one in everybody.items() if name.startswith("expected ")}
    waits, spots = {w.pupa for w in c.plan.waits}, {k.who for k in planned(c)}
    for p in c.season.pupae:
        if p.id not in everybody or not isinstance(c.season.place[p.place], Lid) or not c.due(p.id):
            continue
        beside = [pair for pair in c.near if p.id in pair and pair <= staying]
        if c.season.place[p.place].clear or any(c.any_day(*pair) or c.days(*pair) < days for pair in beside):
            staying.discard(p.id)
            if p.id not in waits or p.id not in spots:  # the others are counted as placed
                found[p.id] = everybody[p.id]
    chances = emergences(c.season, [pupa for pupa, _, _ in found.values()])
    return {name: one for name, one in found.items() if chances[one[0].id] is not None}


def _holder(c, k):
    at, mine = spot(c.season, k.place, k.spot), can_be_moved(c)
    near = [h for h in c.hung if h.at and clips_meet(h.at, at)]
    just = [
        h for h in near if h.pupa.id not in mine and abs(h.at.x - at.x) < 5e-5 and abs(h.at.y - at.y) < 5e-5
    ]
    return just[0] if just else None, near


def free_by_then(c, k):
    """In tenths: the chance that who hangs there has emerged and dried, when the keeper comes."""
    holder, _ = _holder(c, k)
    if holder is None:
        return 10
    one = emergences(c.season, [holder.pupa], c.on)[holder.pupa.id]
    if one is None or c.any_day(holder.pupa.id):
        return 0
    return int(10 * one.chance_by(k.since - timedelta(hours=_drying(c, one))) + 1e-9)


def _drying(c, one):
    return profile_of(c.season, one.species).wing_drying


def _hope_is_founded(c):
    """What is hoped for is likely enough to be free, and taken by nobody else."""
    mine = can_be_moved(c)
    for k in c.plan.hoped:
        holder, near = _holder(c, k)
        if holder is not None:
            if free_by_then(c, k) < 3:
                return False
            continue
        for h in near:
            one = emergences(c.season, [h.pupa], c.on)[h.pupa.id]
            if h.pupa.id not in mine or one is None or c.any_day(h.pupa.id):
                return False
            if one.quantile(0.9) + timedelta(hours=_drying(c, one)) > k.since + timedelta(minutes=1):
                return False
    return True


def _carrying(c):
    dates = sorted({_apart_from_first(c, f.pupa) for f in c.forecast.values() if f.due})
    tenths, mine = 0, can_be_moved(c)
    for h in c.moved:
        if h.hang.x is None or h.hang.y is None:
            continue
        at, lid = There(h.place, h.hang.x, h.hang.y), c.season.place[h.pupa.place]
        if isinstance(lid, Lid) and stands(lid) and stands(h.place):
            middle = (lid.left or 0) + lid.width / 2, (lid.front or 0) + lid.length / 2, lid.height
            tenths += 50 * round(math.dist(middle, room(at)) / 5)
        if not c.due(h.pupa.id):
            continue
        when = dates.index(_apart_from_first(c, h.pupa.id)) / max(1, len(dates) - 1)
        if isinstance(h.place, Line) and h.place.clip_width:
            where = h.hang.x / h.place.length
        else:
            free = [m for m in marks(h.place) if all(usable(c.season, m)) and not _held(c, m, mine)]
            before = [n for n, m in enumerate(free) if h.at and same(m, h.at)]
            if not before:
                return math.nan
            where = before[0] / max(1, len(free) - 1)
        tenths += round(10 * abs(when - where))
    return tenths / 10


def _apart_from_first(c, name):
    first = min(f.due.median for f in c.forecast.values() if f.due)
    return round((c.due(name).median - first) / timedelta(days=1), 6)


def stands(place):
    return place.left is not None or place.front is not None


def _held(c, mark, mine):
    """Whether somebody who cannot be moved hangs there, or too near for another clip."""
    there = [h.at for h in c.hung if h.at and h.place is mark.place and h.pupa.id not in mine]
    return any(clips_meet(mark, at) for at in there)


def marks(place):
    """Every mark or pin, left to right and top to bottom."""
    return [There(place, at.x, at.y) for at in _marks_of_its_like(place)]


@cache
def _marks_of_its_like(place):
    return list(_marks(place))


def _marks(place):
    if isinstance(place, Board):
        tags = [f"r{row}p{pin}" for row in range(1, 200) for pin in range(1, 200)]
        half, every = place.pins_every / 2, place.pins_every
        for tag in tags:
            row, pin = (int(n) for n in tag[1:].split("p"))
            moved = half if place.pattern == "staggered" and row % 2 == 0 else 0
            at = There(place, half + (pin - 1) * every + moved, place.height - half - (row - 1) * every)
            if on_its_place(at):
                yield at
    elif isinstance(place, Line) and place.clips_every:
        for n in range(1, int(place.length / place.clips_every) + 2):
            at = There(place, n * place.clips_every, 0.0)
            if on_its_place(at) and can_be_clipped(at):
                yield at
