"""The level ``carrying``, computed from the season and the plan, for the verifier."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from planner.season.places import Lid, Line, Place
from planner.verify.case import Case
from planner.verify.geometry import Hung, in_the_way
from planner.verify.places import TOUCH, Point, marks

EPS = 1e-6  # cm
ROUNDED = 5.0  # cm, to which each distance to carry is rounded
OUT_OF_ORDER = 10  # tenths of a cm for hanging the earliest pupa where the latest belongs


@dataclass(frozen=True)
class Carried:
    """What a plan carries, and how far out of order of date it hangs whom it moves.

    Attributes
    ----------
    case
        The season and the plan.
    decided
        Ids of the pupae that the plan was free to move.
    days
        Each pupa's due by id, in days; equal dates compare equal.
    """

    case: Case
    decided: Collection[str]
    days: Mapping[str, float]

    def total(self) -> float:
        """Level ``carrying``: the total distance (cm) that pupae are carried, plus a term for order.

        The distance is from the middle of the lid to the spot, rounded to `ROUNDED`, where it is known how
        both stand. The second term adds to each pupa moved up to 1 cm: the difference between its rank by due
        date and the rank of its spot among the open ones of its place, both from 0 to 1. Spots are ranked
        left to right and top to bottom, so pupae in the order of their dates hang in the order in which they
        are read. NaN when a pupa moved is on no open spot, which is the breach of another rule.
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
        """The rank of a spot among the open ones of its place, from 0 to 1; NaN when it is none of them.

        On a line with sliding clips it is the fraction of the line's length.
        """
        if isinstance(at.place, Line) and at.place.clip_width:
            return at.x / at.place.length
        ranks = self._ranks.get(at.place.name)
        if ranks is None:
            ranks = self._ranks[at.place.name] = dict(self._ranked(at.place))
        return math.nan if spot is None else ranks.get(spot.key, math.nan)

    @cached_property
    def _ranks(self) -> dict[str, dict[tuple[str, float, float], float]]:
        """Ranks of open spots by place, as far as `_rank` was asked for them."""
        return {}

    def _ranked(self, place: Place) -> Iterator[tuple[tuple[str, float, float], float]]:
        """Key and rank, from 0 to 1, of each open spot of a place with fixed marks."""
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
    """The point at which the plan says that an entry hangs, by its x and y.

    The tag is rounded, and a rounded distance to carry could differ by that.
    """
    x, y = one.hang.x, one.hang.y
    return None if x is None or y is None else Point(one.place, x, y)


def _middle(place: Place | None) -> tuple[float, float, float] | None:
    """The middle of a lid (X, depth, Z in cm); None for other places, or where its stand is unknown."""
    if not isinstance(place, Lid) or not place.located:
        return None
    return (place.left or 0) + place.width / 2, (place.front or 0) + place.length / 2, place.height


def _usable(case: Case, at: Point) -> bool:
    """Whether a point is within the keeper's reach, with the clearance below it."""
    height, season = at.rack[2], case.season
    free = height - at.place.below
    return season.lowest - TOUCH <= height <= season.highest + TOUCH and free >= season.clearance - TOUCH


def _any_within(along: list[float], x: float, near: float) -> bool:
    """Whether one of some ascending numbers is nearer to ``x`` than ``near``."""
    n = bisect_left(along, x)
    return any(abs(along[k] - x) < near for k in (n - 1, n) if 0 <= k < len(along))
