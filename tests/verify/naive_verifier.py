"""A second verifier, deliberately naive: every rule in a line or two, everybody compared with everybody.

It shares no code with `planner.verify` nor with the planner, only what a season is and what
`planner.emergence` forecasts; dates of plain cases it reckons itself;
but its writer had read `planner.verify`, and followed it in one doubtful case (who counts as ``left``), so it
is no independent reading of the rules. ``broken`` names the rules.
"""

from collections import Counter
from itertools import combinations

from naive_case import Naive, is_spot, same_spot, usable
from naive_dates import dates
from naive_evenings import evenings
from naive_kept import kept, shut
from naive_levels import proof
from naive_moves import after, moves, order, park, time
from naive_room import clips_meet, spot

from planner.season import Board, Lid, Line


def broken(season, plan):
    """Names of the rules that the plan breaks, as `planner.verify.RULES` calls them."""
    case = Naive(season, plan)
    return {rule.__name__.rstrip("_") for rule in RULES if not rule(case)}


def once(c):
    return sorted(h.pupa for h in c.plan.hangs) == sorted(p.id for p in c.present)


def spot_(c):
    return all(h.place in c.season.place for h in c.plan.hangs) and all(is_spot(h) for h in c.hung)


def position(c):
    for one in c.hung:
        if one.at:
            said, true = (one.hang.x, one.hang.y), (one.at.x, one.at.y)
            if any((a is None) != (b is None) for a, b in zip(said, true, strict=True)):
                return False
            if true[0] is not None and any(abs(a - b) > 0.005 for a, b in zip(said, true, strict=True)):
                return False
    return True


def _pairs_on_lines_and_boards(c):
    return [(a, b) for a, b in combinations(c.hung, 2) if a.at and b.at and a.pupa.id != b.pupa.id]


def clips(c):
    return not any(
        clips_meet(a.at, b.at) and not same_spot(a, b) and not (a.stays and b.stays)
        for a, b in _pairs_on_lines_and_boards(c)
        if isinstance(a.place, Line) and a.place.clip_width
    )


def shared(c):
    return not any(same_spot(a, b) for a, b in _pairs_on_lines_and_boards(c))


def lid(c):
    return not any(isinstance(one.place, Lid) for one in c.moved)


def reach(c):
    return all(usable(c.season, h.at)[0] for h in c.moved if h.at and not isinstance(h.place, Lid))


def clearance(c):
    return all(usable(c.season, h.at)[1] for h in c.moved if h.at and not isinstance(h.place, Lid))


def touch(c):
    return not any(_must_not(c, one.pupa) for one in c.moved)


def _must_not(c, pupa):
    state = c.forecast.get(pupa.id)
    hangs = not isinstance(c.season.place[pupa.place], Lid)
    return (state and state.stage != "firm") or pupa.stay or (hangs and "rehang_price" not in c.plan.settings)


def from_(c):
    return all(one.hang.from_place == (None if one.stays else one.pupa.place) for one in c.hung)


def left(c):
    behind = [h.pupa.id for h in c.hung if isinstance(h.place, Lid) and h.place.clear]
    return sorted(c.plan.left) == sorted(behind)


def due(c):
    known = [h for h in c.plan.hangs if h.pupa in c.forecast]
    return all(h.due == (c.due(h.pupa) and c.due(h.pupa).median.date()) for h in known)


def stuck(c):
    stay = {h.pupa.id for h in c.hung if h.stays}
    return all(s.pupa in stay for s in c.plan.stuck)


def waits(c):
    on_lid = [h.pupa.id for h in c.hung if h.stays and isinstance(h.place, Lid)]
    for one in c.plan.waits:
        state = c.forecast.get(one.pupa)
        if one.pupa not in on_lid or state is None or state.stage != "firm" or one.until <= c.plan.on:
            return False
        if state.dark_from and state.dark_from <= one.until:
            return False
    return len({one.pupa for one in c.plan.waits}) == len(c.plan.waits)


def _may_wait(c, pair):
    stay = {h.pupa.id: h.stays for h in c.hung}
    waiting = [one.pupa for one in c.plan.waits]
    on_lid = [h.pupa.id for h in c.hung if isinstance(h.place, Lid)]
    later = (p for p in pair if p in on_lid and (c.forecast[p].stage == "soft" or p in waiting))
    return all(stay[p] for p in pair) and any(not c.season.pupa[p].stay for p in later)


def clash(c):
    told = {frozenset((t.a, t.b)) for t in c.plan.clashes}
    waits = {frozenset((t.a, t.b)) for t in c.plan.waiting}
    return all(pair in told or (pair in waits and _may_wait(c, pair)) for pair in c.close)


def listed(c):
    every = [*c.plan.clashes, *c.plan.waiting]
    if max(Counter(frozenset((t.a, t.b)) for t in every).values(), default=0) > 1:
        return False
    for t in every:
        pair = frozenset((t.a, t.b))
        if pair not in c.close or (t in c.plan.waiting and not _may_wait(c, pair)):
            return False
        days, apart = c.close[pair]
        if abs(t.gap - days) > 1e-3 or (t.distance is None) != (apart is None):
            return False
        if apart is not None and abs(apart - t.distance) > 1e-3:
            return False
    return True


def reason(c):
    return bool(c.plan.clashes or c.plan.left) or not (c.plan.reason or c.plan.ways_out)


def closed(c):
    """Nobody is hung, nor parked, within a clip of where one was sick, or on its pin, until that is clean."""
    to = [(h.hang.place, h.hang.spot) for h in c.moved] + [(m.to_place, m.to_spot) for m in c.moves]
    on_rack = [one for one in to if isinstance(c.season.place.get(one[0]), Line | Board)]
    return not any(shut(c, spot(c.season, *one)) for one in on_rack)


RULES = (
    once, spot_, position, clips, shared, lid, reach, clearance, closed, touch, from_, left, due, dates,
    moves, time, order, after, park, stuck, waits, clash, listed, evenings, kept, proof, reason,
)  # fmt: skip
