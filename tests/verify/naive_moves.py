"""The naive verifier's rules of moves: their chain, their times, and any order that the list allows."""

from datetime import timedelta
from itertools import combinations, pairwise, permutations

from naive_case import Hung, is_spot, usable
from naive_room import clips_meet, same, spot

from planner.season import Lid, Line

LONGEST = 6  # steps: of these every order is tried


def moves(c):
    goes = {h.pupa: h for h in c.plan.hangs if h.from_place is not None}
    steps = [m.step for m in c.moves]
    if {m.pupa for m in c.moves} != set(goes) or len({*steps, *c.plan.void}) != len(steps) + len(c.plan.void):
        return False
    for name, hang in goes.items():
        own, pupa = c.own(name), c.season.pupa.get(name)
        if own[0].from_place != hang.from_place:
            return False
        begins = spot(c.season, own[0].from_place, own[0].from_spot)
        recorded = pupa and pupa.place == own[0].from_place and spot(c.season, pupa.place, pupa.spot)
        if recorded and not same(begins, recorded):
            return False
        for m, then in pairwise(own):
            if (m.to_place, m.to_spot) != (then.from_place, then.from_spot):
                return False
        if (own[-1].to_place, own[-1].to_spot) != (hang.place, hang.spot):
            return False
    return True


def time(c):
    start, end = {m.step: m.not_before for m in c.moves}, {m.step: m.not_after for m in c.moves}
    for n, m in enumerate(c.moves):
        state = c.forecast.get(m.pupa)
        if state and state.firm_from and m.not_before < state.firm_from:
            return False
        if state and m.not_after > (state.dark_from or c.on + timedelta(days=365)):
            return False
        if any(start[m.step] < start[b] or end[m.step] < end[b] for b in m.after if b in start):
            return False
        if m.not_after < c.on or any(m.not_after < earlier.not_before for earlier in c.moves[: n + 1]):
            return False
    return True


def _meetings(c, order):
    """Done in this order: which pairs of steps (0: the beginning) leave two on one spot or clip."""
    at = {p.id: (0, spot(c.season, p.place, p.spot)) for p in c.present}
    goal = {p.id: (c.own(p.id) or [None])[-1] for p in c.present}
    found = set()
    for m in order:
        if m.pupa not in at:
            continue
        here = spot(c.season, m.to_place, m.to_spot)
        at[m.pupa] = m.step, here
        for other, (since, there) in at.items():
            if other == m.pupa or here is None or there is None or not clips_meet(here, there):
                continue
            last = m is goal[m.pupa] and (goal[other] is None or since == goal[other].step)
            if not (
                last and isinstance(here.place, Line) and here.place.clip_width and not _one(here, there)
            ):
                found.add((frozenset((m.pupa, other)), *sorted((m.step, since))))
    return found


def _one(a, b):
    return abs(a.x - b.x) < 5e-5


def order(c):
    return not _meetings(c, c.moves)


def after(c):
    """Every order that the list allows is gone through; of a long list, one step drawn forward."""
    number = {m.step: m for m in c.moves}
    if any(b not in number or b >= m.step for m in c.moves for b in m.after):
        return False
    as_listed = _meetings(c, c.moves)
    for way in permutations(c.moves) if len(c.moves) <= LONGEST else _drawn_forward(c.moves):
        rank = {m.step: n for n, m in enumerate(way)}
        if all(rank[b] < rank[m.step] for m in way for b in m.after):
            for name in {m.pupa for m in way}:
                own = [rank[m.step] for m in c.own(name)]
                if own != sorted(own):
                    return False
            if _meetings(c, way) - as_listed:
                return False
    return True


def _drawn_forward(moves):
    for a, b in combinations(range(len(moves)), 2):
        yield [*moves[:a], moves[b], *moves[a:b], *moves[b + 1 :]]


def park(c):
    for m in c.moves:
        then = next((n for n in c.moves if n.pupa == m.pupa and n.step > m.step), None)
        if then is None:
            continue
        if (m.not_before, m.not_after) != (then.not_before, then.not_after):
            return False
        if m.to_place not in c.season.place:
            return False
        if m.pupa in c.season.pupa:
            one = Hung(c.season, _Parked(m))
            good = is_spot(one) and (one.stays or not isinstance(one.place, Lid))
            if not good or not (one.stays or all(usable(c.season, one.at))):
                return False
    return True


class _Parked:
    def __init__(self, move):
        self.pupa, self.place, self.spot, self.x, self.y = move.pupa, move.to_place, move.to_spot, None, None
