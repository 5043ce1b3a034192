"""What each level of a plan really is, found again from the season and the plan, for the verifier.

A level's value is a claim that anybody can check; its bound, that nothing better exists, only a solver can.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist, fmean

from planner.season.places import Lid, Line, Place
from planner.verify.case import Case
from planner.verify.geometry import Hung, in_the_way
from planner.verify.places import TOUCH, Point, marks
from planner.verify.room import Room

EPS = 1e-6  # days: dues as near as that are one
NEAR_BY = (1, 2)  # days more than the gap, in which two are hung by near dates
HALF_A_DAY = 0.5  # emerging within it, two neighbours are in trouble
ROUNDED = 5.0  # cm, to which a way to carry is rounded
OUT_OF_ORDER = 10  # tenths of a cm that it costs to hang the earliest where the latest belongs


@dataclass(frozen=True)
class Measured:
    """A plan's own figures."""

    case: Case

    @cached_property
    def rehung(self) -> bool:
        """Whether those that hang already were free to be moved: the level that counts prices says so."""
        return any(level.name == "handling" for level in self.case.plan.proof)

    @cached_property
    def stuck(self) -> set[str]:
        """For whom no order of moves works."""
        return {one.pupa for one in self.case.plan.stuck}

    @cached_property
    def decided(self) -> set[str]:
        """Who could be moved when the plan was made: all others are no decision of the plan."""
        return {one.pupa.id for one in self.case.hung if self._decided(one)}

    def _decided(self, one: Hung) -> bool:
        case, name, home = self.case, one.pupa.id, self.case.season.place.get(one.pupa.place)
        forecast = case.forecasts.get(name)
        return (
            forecast is not None
            and forecast.movable
            and not one.pupa.stay
            and name not in case.waits
            and name not in self.stuck
            and (isinstance(home, Lid) or self.rehung)
        )

    @cached_property
    def days(self) -> Mapping[str, float]:
        """By id, the due in days from the first one, rounded so that equal dates compare equal."""
        dues = {name: f.due.median for name, f in self.case.forecasts.items() if f.due}
        first = min(dues.values(), default=None)
        return {name: round((due - first).total_seconds() / 86400, 6) for name, due in dues.items() if first}

    def gaps(self, *, decided: bool) -> Iterator[tuple[frozenset[str], float]]:
        """Each two neighbours and their gap; ``decided``: only those of which one could be moved.

        Who may be due on any day may be due with its neighbour.
        """
        for key, pair in self.case.pairs.items():
            if not decided or not key.isdisjoint(self.decided):
                no_gap = self.case.of_undated(pair)
                yield key, 0.0 if no_gap else abs(self.days[pair.a] - self.days[pair.b])

    def left(self) -> float:
        """Who stays on a lid to be cleared, but could be moved."""
        behind = (h for h in self.case.hung if isinstance(h.place, Lid) and h.place.clear and h.stays)
        return sum(h.pupa.id in self.decided for h in behind)

    def waiting(self) -> float:
        """Evenings on their lids of those who wait."""
        return sum(self.case.evenings_on_lid(one.pupa) for one in self.case.plan.waits)

    def clashes(self) -> float:
        """Pairs listed as clashes; that these are all, and true, is for other rules to say."""
        return len(self.case.plan.clashes)

    def trouble(self) -> float:
        """How likely pairs too close emerge together, in thousandths, where one of the two could be moved.

        Of two dues so many whole days apart: the chance that both emerge within half a day, as two normal
        distributions with the mean spread of all.
        """
        spreads = [f.due.sd for f in self.case.forecasts.values() if f.due] or [1.0]
        between = math.sqrt(2) * max(0.1, fmean(spreads))
        total = 0
        for key, gap in self.gaps(decided=True):
            if key in self.case.clashes:
                apart = NormalDist(math.floor(gap + EPS), between)
                total += round(1000 * (apart.cdf(HALF_A_DAY) - apart.cdf(-HALF_A_DAY)))
        return total

    def touched(self) -> float:
        """How many are moved."""
        return len(self.case.plan.movers)

    def handling(self) -> float:
        """The same by price: one from a lid costs 1, one that hangs already more."""
        season, plan = self.case.season, self.case.plan
        dear = plan.settings.get("rehang_price", math.nan)
        homes = (season.place.get(season.pupa[name].place) for name in plan.movers if name in season.pupa)
        return sum(1 if isinstance(home, Lid) else dear for home in homes)

    def room(self) -> float:
        """For how many of those to come there is no room."""
        return Room(self.case, self.decided).missing

    def smallest_gap(self) -> float:
        """Days between the nearest dues of two neighbours who do not only wait; infinite without any.

        Of a pair with one that has no date no gap is known.
        """
        out = {frozenset((pair.a, pair.b)) for pair in self.case.plan.waiting}
        out |= {key for key, pair in self.case.pairs.items() if self.case.of_undated(pair)}
        return min((gap for key, gap in self.gaps(decided=False) if key not in out), default=math.inf)

    def close(self) -> float:
        """Pairs due less than a day past the gap count 2, less than two 1, where one could be moved."""
        limits = [self.case.plan.gap_days + more - EPS for more in NEAR_BY]
        return sum(gap < limit for _, gap in self.gaps(decided=True) for limit in limits)

    def length(self) -> float:
        """Cm used of lines on which clips slide, each from its left end to its last clip."""
        return sum(
            max((h.hang.x or 0.0 for h in self.case.hung_on.get(line.name, ())), default=0.0)
            for line in self.case.season.places
            if isinstance(line, Line) and line.clip_width
        )

    def carrying(self) -> float:
        """Cm from the middle of each lid to the spot, where it is known how both stand; and out of order.

        That is up to 1 cm for each pupa moved: by how far its place in the order of dates is from that of its
        spot among those that were open, left to right and top to bottom.
        """
        dates = {day: n for n, day in enumerate(sorted(set(self.days.values())))}
        tenths = 0
        for one in self.case.hung:
            if one.stays or (at := _as_told(one)) is None:
                continue
            middle = _middle(self.case.season.place.get(one.pupa.place))
            if middle is not None and one.place.located:
                tenths += round(10 * ROUNDED) * round(math.dist(middle, at.rack) / ROUNDED)
            if one.pupa.id not in self.days:
                continue  # without a date it is in no order
            in_time = dates[self.days[one.pupa.id]] / max(1, len(dates) - 1)
            if math.isnan(rank := self._rank(one.at, at)):
                return math.nan  # on no open spot, as another rule says
            tenths += round(OUT_OF_ORDER * abs(in_time - rank))
        return tenths / 10

    def _rank(self, spot: Point | None, at: Point) -> float:
        """From 0 to 1, where a spot stands among the open ones of its place; NaN where it is none."""
        if isinstance(at.place, Line) and at.place.clip_width:
            return at.x / at.place.length
        ranks = self._ranks.get(at.place.name)
        if ranks is None:
            ranks = self._ranks[at.place.name] = dict(self._ranked(at.place))
        return math.nan if spot is None else ranks.get(spot.key, math.nan)

    @cached_property
    def _ranks(self) -> dict[str, dict[tuple[str, float, float], float]]:
        return {}

    def _ranked(self, place: Place) -> Iterator[tuple[tuple[str, float, float], float]]:
        fixed = [
            h.at for h in self.case.hung_on.get(place.name, ()) if h.at and h.pupa.id not in self.decided
        ]
        near = place.clips_every / 2 if isinstance(place, Line) and place.clips_every else 1e-3
        along = sorted(p.x for p in fixed) if isinstance(place, Line) else []
        pins = {p.key for p in fixed}
        free = [
            at for at in marks(place)
            if _usable(self.case, at) and at.key not in pins and not _any_within(along, at.x, near - EPS)
            and not any(in_the_way(at, shut) for _, shut in self.case.closed)
        ]  # fmt: skip
        for n, at in enumerate(free):
            yield at.key, n / max(1, len(free) - 1)


def _as_told(one: Hung) -> Point | None:
    """Where the plan says it hangs: the tag is rounded, and what is carried should not turn on that."""
    x, y = one.hang.x, one.hang.y
    return None if x is None or y is None else Point(one.place, x, y)


def _middle(place: Place | None) -> tuple[float, float, float] | None:
    if not isinstance(place, Lid) or not place.located:
        return None
    return (place.left or 0) + place.width / 2, (place.front or 0) + place.length / 2, place.height


def _usable(case: Case, at: Point) -> bool:
    height, season = at.rack[2], case.season
    free = height - at.place.below
    return season.lowest - TOUCH <= height <= season.highest + TOUCH and free >= season.clearance - TOUCH


def _any_within(along: list[float], x: float, near: float) -> bool:
    """Whether one of ascending numbers is nearer than that."""
    n = bisect_left(along, x)
    return any(abs(along[k] - x) < near for k in (n - 1, n) if 0 <= k < len(along))


VALUES: Mapping[str, Callable[[Measured], float]] = {
    "waiting": Measured.waiting,
    "left": Measured.left,
    "clashes": Measured.clashes,
    "trouble": Measured.trouble,
    "touched": Measured.touched,
    "handling": Measured.handling,
    "room": Measured.room,
    "smallest_gap": Measured.smallest_gap,
    "close": Measured.close,
    "length": Measured.length,
    "carrying": Measured.carrying,
}
