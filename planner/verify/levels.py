"""The value of each level of a plan, computed from the season and the plan, for the verifier.

A level is one objective of a lexicographic optimisation. Its value is a claim that can be checked by
counting. Its bound says that nothing better exists, which only a solver can show.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from statistics import NormalDist, fmean

from planner.season.places import Lid, Line
from planner.verify.carried import Carried
from planner.verify.case import Case, together
from planner.verify.geometry import Hung, neighbours
from planner.verify.room import Room

EPS = 1e-6  # days: dues no further apart than this are equal
RISK_STEPS = 1000  # a chance of a pair is rounded up to the next of so many parts
NEVER = 1e-4  # a chance below this counts as none
NEAR_BY = (1, 2)  # days above the gap demanded, below which a pair counts in the level close
HALF_A_DAY = 0.5  # days: two neighbours that emerge within it are taken to disturb one another


@dataclass(frozen=True)
class Measured:
    """The values of a plan's levels, one method for each; ``VALUES`` lists them by the level's name."""

    case: Case

    @cached_property
    def rehung(self) -> bool:
        """Whether pupae that hang already were free to be moved.

        Only then does a plan have the level ``handling``.
        """
        return any(level.name == "handling" for level in self.case.plan.proof)

    @cached_property
    def stuck(self) -> set[str]:
        """Ids of the pupae for which no order of moves works."""
        return {one.pupa for one in self.case.plan.stuck}

    @cached_property
    def decided(self) -> set[str]:
        """Ids of the pupae that the plan was free to move.

        Where the others hang is no decision of the plan.
        """
        return {one.pupa.id for one in self.case.hung if self._decided(one)}

    def _decided(self, one: Hung) -> bool:
        """Whether the plan was free to move this one."""
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
        """Each pupa's due by id, in days since the earliest one.

        Rounded, so that equal dates compare equal.
        """
        dues = {name: f.due.median for name, f in self.case.forecasts.items() if f.due}
        first = min(dues.values(), default=None)
        return {name: round((due - first).total_seconds() / 86400, 6) for name, due in dues.items() if first}

    def gaps(self, *, decided: bool) -> Iterator[tuple[frozenset[str], float]]:
        """Each pair of neighbours with its gap in days, 0 where one of the two has no date.

        Parameters
        ----------
        decided
            Whether to leave out pairs of which neither could be moved.
        """
        for key, pair in self.case.pairs.items():
            if not decided or not key.isdisjoint(self.decided):
                no_gap = self.case.of_undated(pair)
                yield key, 0.0 if no_gap else abs(self.days[pair.a] - self.days[pair.b])

    def left(self) -> float:
        """Level ``left``: the number of movable pupae that stay on a lid to be cleared."""
        behind = (h for h in self.case.hung if isinstance(h.place, Lid) and h.place.clear and h.stays)
        return sum(h.pupa.id in self.decided for h in behind)

    def unplaced(self) -> float:
        """Level ``unplaced``: the number of deferred pupae for which there is no spot on a later evening.

        One that only may be free by then counts with its chance in tenths, rounded down.
        """
        told = {one.who: one for one in self.case.plan.hoped}
        sure = {one.who for one in self.case.plan.kept}
        waits = [one.pupa for one in self.case.plan.waits if one.pupa not in sure]
        found = sum(math.floor(10 * (told[name].chance or 0) + 1e-9) for name in waits if name in told)
        return (10 * len(waits) - found) / 10

    def waiting(self) -> float:
        """Level ``waiting``: the number of evenings that deferred pupae spend on their lids, firm."""
        return sum(self.case.evenings_on_lid(one.pupa) for one in self.case.plan.waits)

    def clashes(self) -> float:
        """Level ``clashes``: the number of pairs listed under ``clashes``.

        That the list is complete and true is demanded by other rules.
        """
        return len(self.case.plan.clashes)

    def trouble(self) -> float:
        """Level ``trouble``: the penalty of the clashes of which one pupa at least could be moved.

        The penalty of a clash is the chance, in thousandths, that the two emerge within half a day of one
        another. Their gap is rounded down to whole days, and both emergences are normal with the mean
        standard deviation of all pupae.
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
        """Level ``touched``: the number of pupae that are moved."""
        return len(self.case.plan.movers)

    def handling(self) -> float:
        """Level ``handling``: the total price of the moves.

        A pupa taken from a lid costs 1, one that hangs already the setting ``rehang_price``.
        """
        season, plan = self.case.season, self.case.plan
        dear = plan.settings.get("rehang_price", math.nan)
        homes = (season.place.get(season.pupa[name].place) for name in plan.movers if name in season.pupa)
        return sum(1 if isinstance(home, Lid) else dear for home in homes)

    def stability(self) -> float:
        """Level ``stability``: the number of those listed under ``changed`` that were free to hang there.

        Where the plan before had them is known from that list alone.
        """
        now = {one.pupa: (one.place, one.spot) for one in self.case.plan.hangs}
        listed = {one.pupa: (one.place, one.spot) for one in self.case.plan.changed}
        return sum(name in self.decided and now.get(name) != spot for name, spot in listed.items())

    def room(self) -> float:
        """Level ``room``: the number of pupae to come for which there is no room (`Room.missing`)."""
        return Room(self.case, self.decided).missing

    def smallest_gap(self) -> float:
        """Level ``smallest_gap``: the least gap (days) between two neighbours; infinite when there are none.

        Pending pairs are left out, as they are parted later, and pairs with a pupa that has no date, as no
        gap is known.
        """
        out = {frozenset((pair.a, pair.b)) for pair in self.case.plan.waiting}
        out |= {key for key, pair in self.case.pairs.items() if self.case.of_undated(pair)}
        return min((gap for key, gap in self.gaps(decided=False) if key not in out), default=math.inf)

    def risk(self) -> float:
        """Level ``risk``: the expected number of neighbour pairs that dry their wings together.

        The chance of each pair is rounded up to a thousandth, and is none below `NEVER`. A pupa without a
        date adds nothing: nothing is known of it.
        """
        chances, parts = self.case.drying, 0
        known: dict[tuple[int, int], int] = {}  # pupae of one species and day share one distribution
        for pair in self.case.pairs.values():
            a, b = chances.get(pair.a), chances.get(pair.b)
            if a is None or b is None:
                continue
            if (both := (id(a), id(b))) not in known:
                chance = together(a, b)
                known[both] = math.ceil(RISK_STEPS * chance - 1e-9) if chance >= NEVER else 0
            parts += known[both]
        return parts / RISK_STEPS

    def elbow_room(self) -> float:
        """Level ``elbow_room``: the number of pairs that hang nearer to one another than hands need.

        Pairs of which neither is moved are left out, and prepupae. A card between two makes no room.
        """
        season = self.case.season
        hung = [one for one in self.case.hung if one.pupa.pupated is not None]
        near = neighbours(hung, season.least_elbow_room, 0.0)
        return sum(
            apart is not None and one.pupa.id != other.pupa.id and not (one.stays and other.stays)
            for one, other, apart in near
        )

    def close(self) -> float:
        """Near dates: the number of neighbours whose gap exceeds the one demanded by little, weighted.

        A pair counts 2 when its gap is less than a day more than demanded, 1 when it is less than two. Pairs
        of which neither could be moved are left out.
        """
        limits = [self.case.plan.gap_days + more - EPS for more in NEAR_BY]
        return sum(gap < limit for _, gap in self.gaps(decided=True) for limit in limits)

    def length(self) -> float:
        """Level ``length``: the cm in use on lines with sliding clips, from the left end to the last clip."""
        return sum(
            max((h.hang.x or 0.0 for h in self.case.hung_on.get(line.name, ())), default=0.0)
            for line in self.case.season.places
            if isinstance(line, Line) and line.clip_width
        )

    def carrying(self) -> float:
        """Level ``carrying``: what is carried, and how far out of order it hangs (`Carried.total`)."""
        return Carried(self.case, self.decided, self.days).total()


VALUES: Mapping[str, Callable[[Measured], float]] = {
    "unplaced": Measured.unplaced,
    "waiting": Measured.waiting,
    "left": Measured.left,
    "clashes": Measured.clashes,
    "trouble": Measured.trouble,
    "touched": Measured.touched,
    "handling": Measured.handling,
    "stability": Measured.stability,
    "room": Measured.room,
    "smallest_gap": Measured.smallest_gap,
    "close": Measured.close,
    "risk": Measured.risk,
    "elbow_room": Measured.elbow_room,
    "length": Measured.length,
    "carrying": Measured.carrying,
}
OLDER = ("close",)  # levels that an older hangplan sought, and this one does not
