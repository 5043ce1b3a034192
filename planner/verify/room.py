"""The level ``room``: how many pupae will come, and for how many of them a plan has no spot."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from planner.emergence import Arrival, arrivals
from planner.season.places import Lid, Line
from planner.verify.case import Case, Findings, KeptSpot, emergences
from planner.verify.geometry import Hung
from planner.verify.kept import MINUTE, SURE, in_turn, kept_apart, kept_exists, kept_in_time, too_near

if TYPE_CHECKING:
    from planner.emergence import Emergence

LEAST = 3  # tenths: a spot with a smaller chance of being free must not be hoped for


@dataclass(frozen=True)
class Room:
    """Spots reserved or hoped for, compared with the pupae that will come.

    Attributes
    ----------
    case
        The season and the plan.
    decided
        Ids of the pupae that the plan was free to move.
    """

    case: Case
    decided: Collection[str]

    @cached_property
    def to_come(self) -> Mapping[str, Arrival]:
        """The pupae that will need a spot, by name: those expected, and some that must leave their lid later.

        A soft or deferred pupa must leave when its lid is to be cleared, or when it has a neighbour there
        that is due too near in time. Of two such neighbours only the one recorded first counts, as the other
        then has none left. Pupae without a date are left out, and deferred ones that have a spot on a later
        evening: the level ``unplaced`` counts the others.
        """
        case = self.case
        found = {one.name: one for one in arrivals(case.season, case.plan.on.date())}
        beside = self._beside()
        gone: set[str] = set()
        placed = case.waits.keys() & {one.who for one in case.plan.later}
        for pupa in case.season.pupae:
            lid, later = case.season.place.get(pupa.place), case.coming.get(pupa.id)
            if later is None or not isinstance(lid, Lid) or case.due(pupa.id) is None:
                continue
            if lid.clear or beside[pupa.id] - gone:
                if not placed & {pupa.id}:
                    found[pupa.id] = later
                gone.add(pupa.id)
        chances = emergences(case.season, [one.pupa for one in found.values()])
        return {name: one for name, one in found.items() if chances[one.pupa.id] is not None}

    def _beside(self) -> Mapping[str, set[str]]:
        """By id, the neighbours due too near in time, among pupae on lids.

        Only among those that could not be moved when the plan was made.
        """
        case, season = self.case, self.case.season
        days = case.plan.gap_days if case.plan.risk is None else season.gap_days
        homes = {h.pupa.id: h.place for h in case.hung if h.pupa.id not in self.decided}
        lids = {homes[name].name for name in homes.keys() & case.coming.keys()}
        beside: defaultdict[str, set[str]] = defaultdict(set)
        for pair in case.pairs.values():
            if (pair.gap < days or case.of_undated(pair)) and all(
                name in homes and isinstance(homes[name], Lid) and homes[name].name in lids
                for name in (pair.a, pair.b)
            ):
                beside[pair.a].add(pair.b)
                beside[pair.b].add(pair.a)
        return beside

    @cached_property
    def both(self) -> Case:
        """The same plan with the spots hoped for treated as reserved."""
        plan = self.case.plan
        return Case(self.case.season, replace(plan, kept=(*plan.kept, *plan.hoped)))

    @cached_property
    def today(self) -> Mapping[str, Emergence | None]:
        """The distribution of each hanging pupa's emergence by id, as of when the plan was made."""
        return emergences(self.case.season, [h.pupa for h in self.case.hung], self.case.plan.on)

    @cached_property
    def along(self) -> Mapping[str, tuple[list[float], list[Hung]]]:
        """By place, the x of each occupied point in cm, ascending, and the pupae in the same order."""
        taken = {
            name: sorted((h for h in hung if h.at), key=lambda h: h.at.x if h.at else 0.0)
            for name, hung in self.case.hung_on.items()
        }
        return {name: ([h.at.x for h in hung if h.at], hung) for name, hung in taken.items()}

    def near(self, one: KeptSpot) -> Iterator[Hung]:
        """The pupae that hang on a reserved spot, or too near to it for another clip."""
        xs, hung = self.along.get(one.kept.place, ([], []))
        for h in hung[bisect_left(xs, one.at.x - _reach(one)) :]:
            if h.at is None or h.at.x > one.at.x + _reach(one):
                break
            if too_near(one.at, h.at):
                yield h

    def holder(self, one: KeptSpot) -> Hung | None:
        """The pupa on a reserved spot that could not be moved; None where there is none."""
        here = (h for h in self.near(one) if h.pupa.id not in self.decided)
        return next((h for h in here if h.at and h.at.key == one.at.key), None)

    def tenths(self, one: KeptSpot) -> int:
        """The chance that a spot is free when it is needed, in tenths, rounded down: 0 to 10.

        It is 10 unless a pupa that could not be moved hangs there. Then it is the chance that this one has
        emerged and dried its wings by the evening on which the pupa to come is to be hung.
        """
        if (holder := self.holder(one)) is None:
            return 10
        if (when := self.today.get(holder.pupa.id)) is None or self.case.undated(holder.pupa.id):
            return 0
        return int(10 * when.chance_dry_by(one.kept.since) + 1e-9)

    @property
    def missing(self) -> float:
        """The number of pupae to come without a spot.

        A spot that may be free by then counts with its chance; one on a later evening than it is wanted does
        not count.
        """
        found = sum(self.tenths(one) for one in self.both.kept if self._when_it_comes(one))
        return (10 * sum(one.count for one in self.to_come.values()) - found) / 10

    def _when_it_comes(self, one: KeptSpot) -> bool:
        """Whether a spot is for one of those to come, on the first evening on which it can be hung."""
        if one.kept.who not in self.to_come:
            return False
        firm = self.to_come[one.kept.who].firm
        return abs(one.kept.since - firm - (self.case.plan.on - firm) % timedelta(days=1)) <= MINUTE

    def faults(self) -> Findings:
        """The breaches of the rule ``proof`` by spots hoped for.

        They must keep the rules of reservations, but may be occupied by one pupa that could not be moved, if
        it has left in time with a chance of `LEAST` tenths or more: with a smaller one nobody should count on
        the spot. Whether those of pupae on record come free is judged by `planner.verify.evenings`.
        """
        if not self.case.plan.hoped:
            return
        kept = {*self.case.plan.kept, *self.case.plan.later}
        for rule in (kept_exists, kept_in_time, kept_apart):
            yield from rule(self.both)
        for one in (one for one in self.both.kept if one.kept not in kept):
            where, holder = (
                f"{one.kept.place} at {one.kept.spot}, hoped for by {one.kept.who},",
                self.holder(one),
            )
            if holder is not None and self.tenths(one) < LEAST:
                yield (holder.pupa.id,), f"{where} is hardly free by then: allowed is a chance of 0.3 or more"
            for h in self.near(one) if holder is None else ():
                when = None if self.case.undated(h.pupa.id) else self.today.get(h.pupa.id)
                gone = None if when is None else when.dry_by(SURE)
                if gone is None or gone > one.kept.since + MINUTE or h.pupa.id not in self.decided:
                    yield (
                        (h.pupa.id,),
                        f"{where} is taken by {h.pupa.id}: allowed is a spot that is free by then",
                    )
        yield from self._in_turn()

    def _in_turn(self) -> Findings:
        """Breaches by two pupae to come on one spot, or too near to one another for two clips.

        The first must have left when the second comes.
        """
        kept = sorted(self.both.kept, key=lambda one: (one.kept.place, one.at.x))
        for k, one in enumerate(kept):
            for other in kept[k + 1 :]:
                if other.at.place is not one.at.place or other.at.x > one.at.x + _reach(one):
                    break
                if not in_turn(self.both, one, other):
                    yield (), f"{one} and {other}: allowed is one at a time"


def _reach(one: KeptSpot) -> float:
    """The greatest distance in cm along its place at which another pupa can be too near to a spot."""
    place = one.at.place
    return (place.clip_width or place.clips_every or 0.0) if isinstance(place, Line) else 1.0
