"""The input of the verifier's rules, with all that more than one of them derives from it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from planner.emergence import Arrival, Due, Forecast, arrivals, forecasts, gap, predict
from planner.season.places import Lid
from planner.season.plan.plan_record import Kept, Move, Plan, TooClose
from planner.season.pupae import SICK, Pupa
from planner.season.season import Season
from planner.verify.geometry import Hung, locate, neighbours, parted, spot_name
from planner.verify.places import Point, point

if TYPE_CHECKING:
    from planner.emergence import Emergence  # at run time numpy comes with it, which few plans need

# What a rule finds: ids of the pupae concerned, and the sentence.
Findings = Iterator[tuple[tuple[str, ...], str]]


def emergences(
    season: Season, pupae: Sequence[Pupa], now: datetime | None = None
) -> dict[str, Emergence | None]:
    """`planner.emergence.emergences`, which loads numpy: it is imported on first use only."""
    from planner.emergence import emergences as distributions

    return distributions(season, pupae, now)


def together(a: Emergence, b: Emergence) -> float:
    """`planner.emergence.together`, which loads numpy: it is imported on first use only."""
    from planner.emergence import together as chance

    return chance(a, b)


@dataclass(frozen=True)
class KeptSpot:
    """A reservation: a spot kept for a pupa to come, with its position and when that pupa is due.

    Attributes
    ----------
    kept
        The entry of the plan.
    at
        The point that its tag names.
    pupa
        Whom it is kept for; of several expected alike, one that stands for all.
    due
        The median of that pupa's emergence.
    """

    kept: Kept
    at: Point
    pupa: Pupa
    due: datetime

    def __str__(self) -> str:
        return f"{spot_name(self.at.place, self.kept.spot)}, kept for {self.kept.who}"


@dataclass(frozen=True)
class Case:
    """A season and a plan for it, with all that more than one rule derives from them.

    Properties that need forecasts raise ValueError when a species has no profile, and FaultyFiles when the
    temperatures cannot be read.
    """

    season: Season
    plan: Plan

    @cached_property
    def forecasts(self) -> Mapping[str, Forecast]:
        """The forecast of each present pupa by id, as of the moment the plan was made."""
        return forecasts(self.season, self.plan.on)

    @cached_property
    def hung(self) -> list[Hung]:
        """The entries of the plan whose pupa and place the season knows, in the plan's order."""
        return locate(self.season, self.plan)

    @cached_property
    def hung_on(self) -> Mapping[str, list[Hung]]:
        """The entries of `hung` by name of their place."""
        by_place: defaultdict[str, list[Hung]] = defaultdict(list)
        for one in self.hung:
            by_place[one.place.name].append(one)
        return by_place

    @cached_property
    def closed(self) -> list[tuple[Pupa, Point]]:
        """The closed points: where sick pupae hung on lines and boards that are not recorded as cleaned."""
        season = self.season
        return [
            (pupa, at)
            for pupa in season.pupae
            if pupa.outcome in SICK and pupa.cleaned is None and (place := season.place.get(pupa.place))
            if (at := point(place, pupa.spot, season.cm_per_unit)) is not None
        ]

    @cached_property
    def stays(self) -> Mapping[str, bool]:
        """By id, whether the plan leaves a pupa hanging where it is recorded."""
        return {one.pupa.id: one.stays for one in self.hung}

    @cached_property
    def steps(self) -> Mapping[str, list[Move]]:
        """The moves of each pupa by id, in the order of their steps."""
        steps: defaultdict[str, list[Move]] = defaultdict(list)
        for move in sorted(self.plan.moves, key=lambda move: move.step):
            steps[move.pupa].append(move)
        return steps

    @cached_property
    def pairs(self) -> Mapping[frozenset[str], TooClose]:
        """All pairs of neighbours that have pupated, by their two ids, with their gap in days.

        A pair with a divider card between its spots is none. A pupa without a date may be due on any day, so
        the gap of its pairs is 0. Of a pupa that the plan hangs twice the nearer spot counts.
        """
        pairs: dict[frozenset[str], TooClose] = {}
        for one, other, distance in neighbours(self.hung, self.season.wing_reach, self.season.drop):
            if parted(self.season, one.at, other.at):
                continue
            a, b = one.pupa.id, other.pupa.id
            key = frozenset((a, b))
            if a == b or (key in pairs and (distance is None or distance >= (pairs[key].distance or 0))):
                continue
            due, due_too = self.due(a), self.due(b)
            if (due or self.undated(a)) and (due_too or self.undated(b)):
                apart = gap(due, due_too) if due and due_too else 0.0
                pairs[key] = TooClose(a=a, b=b, gap=apart, distance=distance)
        return pairs

    @cached_property
    def clashes(self) -> Mapping[frozenset[str], TooClose]:
        """The pairs that clash, by their two ids.

        A pair clashes when its gap is less than ``plan.gap_days``, when one of the two has no date, or when
        the plan was made with a risk and they are more likely than that to dry their wings together.
        """
        return {
            key: pair
            for key, pair in self.pairs.items()
            if pair.gap < self.plan.gap_days
            or self.of_undated(pair)
            or self.too_likely(self.chances.get(pair.a), self.chances.get(pair.b))
        }

    @cached_property
    def chances(self) -> Mapping[str, Emergence | None]:
        """The distribution of each pupa's emergence by id; empty where the plan was made without a risk."""
        return {} if self.plan.risk is None else emergences(self.season, self.season.pupae, self.plan.on)

    @cached_property
    def drying(self) -> Mapping[str, Emergence | None]:
        """The distribution of the emergence of each hanging pupa by id; None where no date is known."""
        found = emergences(self.season, [one.pupa for one in self.hung], self.plan.on)
        return {name: one if self.due(name) else None for name, one in found.items()}

    def too_likely(self, a: Emergence | None, b: Emergence | None) -> bool:
        """Whether two are more likely to dry their wings at the same time than the plan's risk allows.

        False where the plan was made without a risk, or one of the two has no distribution.
        """
        if self.plan.risk is None or a is None or b is None:
            return False
        both = id(a), id(b)  # pupae of one species and date share one distribution
        if both not in self._together:
            self._together[both] = together(a, b)
        return self._together[both] > self.plan.risk

    @cached_property
    def _together(self) -> dict[tuple[int, int], float]:
        """Chances found by `too_likely`, by the identities of the two distributions."""
        return {}

    @cached_property
    def waits(self) -> Mapping[str, datetime]:
        """The deferred pupae by id: those left on their lids for now, and until when."""
        return {one.pupa: one.until for one in self.plan.waits}

    def evenings_on_lid(self, pupa: str) -> int:
        """The number of evenings a deferred pupa spends on its lid from when it is firm until it is hung.

        With this one, and those to come before its own. 0 when it is not present, or nobody knows when it
        became firm.
        """
        forecast = self.forecasts.get(pupa)
        if forecast is None or forecast.firm_from is None:
            return 0
        return (self.waits[pupa] - forecast.firm_from) // timedelta(days=1)

    @cached_property
    def coming(self) -> Mapping[str, Arrival]:
        """The pupae that will need a spot later, by name: expected ones, soft ones and deferred ones."""
        found = {one.name: one for one in arrivals(self.season, self.plan.on.date())}
        for pupa in self.season.pupae:
            forecast = self.forecasts.get(pupa.id)
            if pupa.id in self.waits:
                found[pupa.id] = Arrival(pupa, self.waits[pupa.id], 1)
            elif forecast and forecast.firm_from and self.moved_later(pupa.id):
                found[pupa.id] = Arrival(pupa, forecast.firm_from, 1)
        return found

    @cached_property
    def kept(self) -> tuple[KeptSpot, ...]:
        """The valid reservations: on a line or board, for somebody to come whose due is forecast.

        Those left out here are breaches of `planner.verify.kept.kept_exists`, or are for pupae without a
        date.
        """
        season, found = self.season, []
        for kept in self.plan.kept:
            place = season.place.get(kept.place)
            if place is None or isinstance(place, Lid) or kept.who not in self.coming:
                continue
            at, pupa = point(place, kept.spot, season.cm_per_unit), self.coming[kept.who].pupa
            due = predict(season, pupa)
            if at is not None and due is not None:
                found.append(KeptSpot(kept, at, pupa, due.median))
        return tuple(found)

    @cached_property
    def drying_later(self) -> Mapping[str, Emergence | None]:
        """The distribution of the emergence of each pupa that will need a spot later, by its id."""
        return emergences(self.season, [one.pupa for one in self.coming.values()])

    @property
    def wanted(self) -> str:
        """The separation demanded of neighbours, in words: ``2 days or more``."""
        if self.plan.risk is not None:
            return f"a chance of {self.plan.risk:.2%} or less to dry their wings together"
        days = self.plan.gap_days
        return f"{days:g} day or more" if days == 1 else f"{days:g} days or more"

    def due(self, pupa: str) -> Due | None:
        """The forecast of when a pupa emerges; None where there is none."""
        forecast = self.forecasts.get(pupa)
        return forecast.due if forecast else None

    def undated(self, pupa: str) -> bool:
        """Whether a pupa has pupated but has no date: it may be due on any day.

        A prepupa has no date either, but is not meant: it must pupate before it can emerge.
        """
        forecast = self.forecasts.get(pupa)
        return forecast is not None and forecast.due is None and forecast.stage != "prepupa"

    def of_undated(self, pair: TooClose) -> bool:
        """Whether one of the two has no date, as `undated` says."""
        return self.undated(pair.a) or self.undated(pair.b)

    def moved_later(self, pupa: str) -> bool:
        """Whether a later plan will move a pupa without being asked: it is on a lid, and soft or deferred.

        Never one recorded to stay.

        Raises
        ------
        KeyError
            The season has no such pupa, or it is not present.
        """
        one = self.season.pupa[pupa]
        later = self.forecasts[pupa].stage == "soft" or pupa in self.waits
        return later and not one.stay and isinstance(self.season.place.get(one.place), Lid)

    def with_due(self, pupa: str) -> str:
        """A pupa's id and due day: ``p3 (due 2027-07-14)``."""
        due = self.due(pupa)
        none = "no date is known" if self.undated(pupa) else "no due day"
        return f"{pupa} (due {due.day})" if due else f"{pupa} ({none})"
