"""A second verifier, deliberately naive: every rule in a line or two, everybody compared with everybody.

It shares no code with `planner.verify` nor with the planner, only what a season is and when each pupa is due;
but its writer had read `planner.verify`, and followed it in one doubtful case (who counts as ``left``), so it
is no independent reading of the rules. ``broken`` names the rules.
"""

from collections import Counter
from datetime import timedelta
from itertools import combinations, pairwise, permutations

from naive_room import There, beside, can_be_clipped, clips_meet, distance, on_its_place, room, same, spot

from planner.emergence import emergences, forecasts, predict, profile_of, together
from planner.season import Lid, Line, Pupa, When

LONGEST = 6  # steps: of these every order is tried


def broken(season, plan):
    """Names of the rules that the plan breaks, as `planner.verify.RULES` calls them."""
    case = Naive(season, plan)
    return {rule.__name__.rstrip("_") for rule in RULES if not rule(case)}


class Hung:
    """One line of the plan's hangs: whose, where, and whether that is where it hangs anyway."""

    def __init__(self, season, hang):
        self.hang, self.pupa, self.place = hang, season.pupa[hang.pupa], season.place[hang.place]
        here = self.pupa.place == hang.place
        if isinstance(self.place, Lid):
            self.stays = here
            x, y = (self.pupa.x, self.pupa.y) if here else (hang.x, hang.y)
            self.at = There(self.place, x, y)
        else:
            self.at = spot(season, hang.place, hang.spot)
            recorded = spot(season, hang.place, self.pupa.spot) if here else None
            self.stays = here and (hang.spot == self.pupa.spot or same(self.at, recorded))
            self.at = recorded if self.stays else self.at


class Naive:
    def __init__(self, season, plan):
        self.season, self.plan, self.on = season, plan, plan.on
        self.forecast = forecasts(season, plan.on)
        self.hung = [Hung(season, h) for h in plan.hangs if h.pupa in season.pupa and h.place in season.place]
        self.moved = [h for h in self.hung if not h.stays]
        self.present = [p for p in season.pupae if p.present]
        self.chance = emergences(season, season.pupae) if "risk" in plan.settings else {}
        self.moves = sorted(plan.moves, key=lambda m: m.step)
        self.close = {}
        for a, b in combinations([h for h in self.hung if h.at], 2):
            apart = self.days(a.pupa.id, b.pupa.id)
            if a.pupa.id == b.pupa.id or apart is None or not self.too_soon(a.pupa.id, b.pupa.id, apart):
                continue
            if beside(season, a.at, b.at):
                self.close[frozenset((a.pupa.id, b.pupa.id))] = apart, distance(a.at, b.at)

    def due(self, name):
        return self.forecast[name].due if name in self.forecast else None

    def days(self, a, b):
        a, b = self.due(a), self.due(b)
        return None if a is None or b is None else abs((a.median - b.median) / timedelta(days=1))

    def too_soon(self, a, b, apart):
        risk = self.plan.settings.get("risk")
        soon = round(apart, 6) < self.plan.gap_days
        return soon or (risk is not None and together(self.chance[a], self.chance[b]) > risk)

    def own(self, name):
        return [m for m in self.moves if m.pupa == name]


def once(c):
    return sorted(h.pupa for h in c.plan.hangs) == sorted(p.id for p in c.present)


def spot_(c):
    return all(h.place in c.season.place for h in c.plan.hangs) and all(_is_spot(h) for h in c.hung)


def _is_spot(one):
    if isinstance(one.place, Lid):
        return True
    if one.at is None or not on_its_place(one.at):
        return False
    tag, shortest = one.hang.spot, True
    if isinstance(one.place, Line):
        zeros = tag[0] in "+0." and tag[:2] != "0."
        shortest = not (zeros or "e" in tag or ("." in tag and tag[-1] in "0."))
    return one.stays or (can_be_clipped(one.at) and shortest)


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


def same_spot(a, b):
    return a.place is b.place and a.at.x is not None and b.at.x is not None and same(a.at, b.at)


def shared(c):
    return not any(same_spot(a, b) for a, b in _pairs_on_lines_and_boards(c))


def lid(c):
    return not any(isinstance(one.place, Lid) for one in c.moved)


def _usable(season, at):
    height = room(at)[2]
    return season.lowest <= height <= season.highest, height - at.place.below >= season.clearance


def reach(c):
    return all(_usable(c.season, h.at)[0] for h in c.moved if h.at and not isinstance(h.place, Lid))


def clearance(c):
    return all(_usable(c.season, h.at)[1] for h in c.moved if h.at and not isinstance(h.place, Lid))


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


def moves(c):
    goes = {h.pupa: h for h in c.plan.hangs if h.from_place is not None}
    if {m.pupa for m in c.moves} != set(goes) or [m.step for m in c.moves] != list(
        range(1, len(c.moves) + 1)
    ):
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
        if state and state.dark_from and m.not_after > state.dark_from:
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
            good = _is_spot(one) and (one.stays or not isinstance(one.place, Lid))
            if not good or not (one.stays or all(_usable(c.season, one.at))):
                return False
    return True


class _Parked:
    def __init__(self, move):
        self.pupa, self.place, self.spot, self.x, self.y = move.pupa, move.to_place, move.to_spot, None, None


def stuck(c):
    stay = {h.pupa.id for h in c.hung if h.stays}
    return all(s.pupa in stay for s in c.plan.stuck)


def _may_wait(c, pair):
    stay = {h.pupa.id: h.stays for h in c.hung}
    return all(stay[p] for p in pair) and any(c.forecast[p].stage == "soft" for p in pair)


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


def _comers(c):
    """Who will want a spot: name → a pupa to forecast, from when, how many."""
    found = {}
    for e in c.season.still_expected(c.on.date()):
        when = When(e.pupating)
        firm = when.latest + timedelta(hours=profile_of(c.season, e.species).firm_after)
        name = f"expected {e.pupating} {e.species}"
        many = e.count + (found[name][2] if name in found else 0)
        found[name] = Pupa(id=name, species=e.species, pupated=when, place=""), firm, many
    for name, state in c.forecast.items():
        if state.stage == "soft":
            found[name] = c.season.pupa[name], state.firm_from, 1
    return found


def kept(c):
    comers, minute = _comers(c), timedelta(minutes=1)
    if any(n > comers.get(who, (0, 0, 0))[2] for who, n in Counter(k.who for k in c.plan.kept).items()):
        return False
    if not c.plan.kept:
        return True
    chance = emergences(c.season, [pupa for pupa, _, _ in comers.values()])
    now = emergences(c.season, c.present, c.on)
    ends = []
    for k in c.plan.kept:
        at, mine, (pupa, firm, _) = spot(c.season, k.place, k.spot), chance[k.who], comers[k.who]
        if at is None or not on_its_place(at) or not can_be_clipped(at) or not all(_usable(c.season, at)):
            return False
        forecast = predict(c.season, pupa)
        if mine is None or forecast is None:
            continue
        visit = c.on
        while visit < firm:  # the keeper comes every day at the hour of the plan
            visit += timedelta(days=1)
        if abs(k.since - visit) > minute or k.due != forecast.median.date():
            return False
        for h in c.hung:
            if h.at and h.pupa.id in now and clips_meet(h.at, at):
                gone = _gone(c, now[h.pupa.id], h.pupa.species)
                if gone is None or gone > k.since + minute:
                    return False
            when = c.due(h.pupa.id)
            soon = h.at and when and _soon(c, when.median, forecast.median)
            if soon and beside(c.season, h.at, at):
                return False
        for since, over, median, there in ends:
            if clips_meet(at, there) and since <= k.since + minute and over > k.since + minute:
                return False
            if _soon(c, median, forecast.median) and beside(c.season, at, there):
                return False
        ends.append((k.since, _gone(c, mine, mine.species), forecast.median, at))
    return True


def _soon(c, a, b):
    return abs((a - b) / timedelta(days=1)) < c.plan.gap_days - 1e-3


def _gone(c, emergence, species):
    """When it has emerged and dried with a chance of nine in ten."""
    if emergence is None:
        return None
    return emergence.quantile(0.9) + timedelta(hours=profile_of(c.season, species).wing_drying)


def proof(c):
    count = {"clashes": len(c.plan.clashes), "touched": len({m.pupa for m in c.moves})}
    right = all(level.value == count.get(level.name, level.value) for level in c.plan.proof)
    return right and all(level.value == level.bound for level in c.plan.proof if level.proved)


def reason(c):
    return bool(c.plan.clashes or c.plan.left) or not (c.plan.reason or c.plan.ways_out)


RULES = (
    once, spot_, position, clips, shared, lid, reach, clearance, touch, from_, left, due, moves, time, order,
    after, park, stuck, clash, listed, kept, proof, reason,
)  # fmt: skip
