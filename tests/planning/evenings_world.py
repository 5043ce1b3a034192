"""Tiny racks over a few evenings, and every way of hanging their pupae, tried one by one."""

import math
import random
from datetime import date, timedelta
from itertools import combinations, product

from season_world import ON, line, pupa, season, tub

from planner.emergence import emergences, forecasts, profile_of
from planner.rack.neighbours import neighbour_graph
from planner.rack.spots import home_of, spots
from planner.season import Lid, When

DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)


def tiny(seed):
    """One to three marks, up to two pupae on them, and up to four on a lid that is to be cleared or not."""
    rng = random.Random(seed)
    lines = [line(marks=rng.randint(1, 3), clips_every=rng.choice([4, 8, 12]))]
    clear = rng.random() < 0.6
    if rng.random() < 0.3:
        lines.append(line("m", marks=1))
    marks = [spot for those in spots(season(lines, [])).values() for spot in those]
    rng.shuffle(marks)
    hung = [
        pupa(f"h{k}", When(date(2027, 6, 28 + rng.randint(0, 2))), spot.place, spot=spot.tag)
        for k, spot in enumerate(marks[: rng.randint(0, 2)])
    ]
    on_lid = [pupa("abcd"[k], 1 + rng.randint(0, 6), x=5 * k + 1, y=1) for k in range(rng.randint(1, 4))]
    return season([tub(clear=clear), *lines], [*hung, *on_lid])


class World:
    """A season at ON: who hangs, who may be moved, and until which evening."""

    def __init__(self, case, evenings):
        self.case, self.now = case, forecasts(case, ON)
        self.emergence = emergences(case, case.pupae, ON)
        self.spots = [s for those in spots(case).values() for s in those if not s.unusable]
        self.home = {p.id: home_of(case, p.id) for p in case.pupae}
        nodes = dict.fromkeys([*self.spots, *self.home.values()])
        self.graph = neighbour_graph(nodes, case.wing_reach, case.drop)
        on_lid = [p for p in case.pupae if isinstance(case.place[p.place], Lid)]
        self.to_clear = {p.id for p in on_lid if case.place[p.place].clear}
        self.free = [p.id for p in on_lid if self.now[p.id].movable]
        self.fixed = [p.id for p in case.pupae if p.id not in self.free]
        self.last = {name: self._last(name, evenings) for name in self.free}

    def _last(self, name, evenings):
        """How many evenings from now it can still be moved, even if it darkens early."""
        due, dark = self.now[name].due, self.now[name].dark_from
        early = dark - (due.median - due.low)
        return max(k for k in range(evenings) if k == 0 or ON + k * DAY < early)

    def clash(self, a, b):
        days = abs((self.now[a].due.median - self.now[b].due.median) / DAY)
        return days < self.case.gap_days - 1e-6

    def beside(self, a, at, b, there):
        return self.graph.has_edge(at, there) and self.clash(a, b)

    def _dried(self, name):
        return timedelta(hours=profile_of(self.case, self.case.pupa[name].species).wing_drying)

    def tenths(self, name, when):
        return int(10 * self.emergence[name].chance_by(when - self._dried(name)) + 1e-9)

    def surely_gone(self, name, when):
        return self.emergence[name].quantile(0.9) + self._dried(name) <= when + MINUTE

    def cost(self, choice):
        """Left, clashes, put off without a spot, evenings on lids; None: it cannot be done.

        ``choice``: pupa → None (it stays), (0, spot), (evening, spot), or (1, None): put off to the next.
        """
        hung = {n: c[1] for n, c in choice.items() if c and c[0] == 0}
        later = {n: c for n, c in choice.items() if c and c[0] and c[1]}
        off = [n for n, c in choice.items() if c and c[1] is None]
        home = [n for n, c in choice.items() if c is None]
        now = {n: self.home[n] for n in (*self.fixed, *home)} | hung
        on_rack = [now[n] for n in (*self.fixed, *hung)]
        if len({*on_rack}) < len(on_rack):
            return None
        lacking = 10 * len(off)
        for n, (evening, spot) in later.items():
            when = ON + evening * DAY
            for m in self.fixed:
                if now[m] == spot:
                    tenths = self.tenths(m, when)
                    if tenths < 3:
                        return None
                    lacking += 0 if tenths >= 9 else 10 - tenths
            if any(now[m] == spot and not self.surely_gone(m, when) for m in hung):
                return None
            for m, (other, there) in later.items():
                if m != n and there == spot and not (other > evening or self.surely_gone(m, when)):
                    return None
                if m != n and there == spot and other == evening:
                    return None
        then = now | {n: spot for n, (_, spot) in later.items()}
        if any(
            self.beside(n, then[n], m, at)
            for n in later
            for m, at in then.items()
            if m != n and at != then[n]
        ):
            return None
        for n in (*later, *off):  # nobody is hung beside its lid meanwhile
            if any(self.beside(n, self.home[n], m, then[m]) for m in (*hung, *later) if m != n):
                return None
        if any(self.beside(n, self.home[n], m, now[m]) for n in off for m in home):
            return None
        pairs = (pair for pair in combinations(now, 2) if not {*pair} <= {*self.fixed})
        clashes = sum(self.beside(a, now[a], b, now[b]) for a, b in pairs)
        spent = sum(1 + (ON - self.now[n].firm_from) // DAY for n in (*later, *off))
        spent += sum(evening - 1 for evening, _ in later.values())
        return sum(n in self.to_clear for n in home), clashes, lacking / 10, spent


def least(case, evenings, *, put_off, most=math.inf):
    """The least of left, clashes, put off without a spot and evenings on lids; at most so many clashes."""
    world = World(case, evenings)
    choices = []
    for name in world.free:
        last = world.last[name]
        mine = [None, *((evening, spot) for evening in range(last + 1) for spot in world.spots)]
        choices.append([*mine, (1, None)] if put_off and last else mine)
    costs = (world.cost(dict(zip(world.free, each, strict=True))) for each in product(*choices))
    return min(cost for cost in costs if cost is not None and cost[1] <= most)
