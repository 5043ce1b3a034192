"""What the naive verifier asks of a season and a plan: who hangs where, who stays, who is beside whom."""

from datetime import timedelta
from itertools import combinations

from naive_room import There, beside, can_be_clipped, distance, on_its_place, room, same, spot

from planner.emergence import emergences, forecasts, together
from planner.season import Lid, Line


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
        self.chance = emergences(season, season.pupae, plan.on) if "risk" in plan.settings else {}
        self.moves = sorted(plan.moves, key=lambda m: m.step)
        self.close, self.near = {}, {}
        for a, b in combinations([h for h in self.hung if h.at], 2):
            apart = self.days(a.pupa.id, b.pupa.id)
            if a.pupa.id == b.pupa.id or apart is None or not beside(season, a.at, b.at):
                continue
            pair = frozenset((a.pupa.id, b.pupa.id))
            self.near[pair] = apart
            if self.too_soon(a.pupa.id, b.pupa.id, apart):
                self.close[pair] = apart, distance(a.at, b.at)

    def due(self, name):
        return self.forecast[name].due if name in self.forecast else None

    def any_day(self, *names):
        """Whether one of them has pupated, but has no date."""
        return any(self.season.pupa[n].pupated and not self.due(n) for n in names if n in self.forecast)

    def days(self, a, b):
        """Between the dues of two; none where one may be due on any day, None where one is no pupa yet."""
        if not all(n in self.forecast and self.season.pupa[n].pupated for n in (a, b)):
            return None
        if self.any_day(a, b):
            return 0.0
        return abs((self.due(a).median - self.due(b).median) / timedelta(days=1))

    def too_soon(self, a, b, apart):
        if self.any_day(a, b):
            return True
        risk = self.plan.settings.get("risk")
        soon = round(apart, 6) < self.plan.gap_days
        return soon or (risk is not None and together(self.chance[a], self.chance[b]) > risk)

    def own(self, name):
        return [m for m in self.moves if m.pupa == name]


def is_spot(one):
    """Whether what the plan says is a spot, named as it should be."""
    if isinstance(one.place, Lid):
        return True
    if one.at is None or not on_its_place(one.at):
        return False
    tag, shortest = one.hang.spot, True
    if isinstance(one.place, Line):
        zeros = tag[0] in "+0." and tag[:2] != "0."
        shortest = not (zeros or "e" in tag or ("." in tag and tag[-1] in "0."))
    return one.stays or (can_be_clipped(one.at) and shortest)


def same_spot(a, b):
    return a.place is b.place and a.at.x is not None and b.at.x is not None and same(a.at, b.at)


def usable(season, at):
    """Whether the keeper reaches it; whether wings have room."""
    height = room(at)[2]
    return season.lowest <= height <= season.highest, height - at.place.below >= season.clearance
