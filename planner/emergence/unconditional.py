"""Emergence by the hour given the time of pupation alone, before anything else was observed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import Curve
from planner.emergence.predict import LONGEST
from planner.emergence.profiles import Profile
from planner.season.reading.when import When

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats

STRAY = 0.01  # share of pupae that follow no forecast: in diapause, dead, or recorded wrongly. A guess
FARTHEST = 5.5  # standard deviations from the median at which the distribution is cut off
# Gauss-Legendre nodes for the hour of pupation, as shares of the day, and their weights, which sum to 1.
HOURS = (
    0.03376524289842399, 0.16939530676686774, 0.38069040695840155,
    0.61930959304159845, 0.83060469323313226, 0.966234757101576,
)  # fmt: skip
HOUR_WEIGHT = (
    0.08566224618958525, 0.1803807865240694, 0.23395696728634538,
    0.23395696728634538, 0.1803807865240694, 0.08566224618958525,
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Unconditional:
    """The distribution of an emergence given the time of pupation alone.

    The requirement is normal with the profile's mean and spread. Where the hour of pupation is unknown, it is
    uniform over the day.

    Attributes
    ----------
    profile : Profile
    start, weight : tuple of float
        Degree-days at each possible time of pupation, and how likely that is; the weights sum to 1.
    first : int
        Start of the first hour, whole days from EPOCH.
    edges : tuple of float
        Degree-days at the ends of the hours, from the start of the first to the end of the last.
    """

    profile: Profile
    start: tuple[float, ...]
    weight: tuple[float, ...]
    first: int
    edges: tuple[float, ...]

    @cached_property
    def chances(self) -> list[float]:
        """Chance of each hour of the clock, STRAY left out; the small chance before is in the first hour."""
        scale = self.profile.requirement * self.profile.spread * math.sqrt(2)
        reached = [0.0] * len(self.edges)
        for start, weight in zip(self.start, self.weight, strict=True):
            shift = start + self.profile.requirement
            half = weight * (1 - STRAY) / 2
            reached = [
                r + half * math.erfc((shift - edge) / scale)
                for r, edge in zip(reached, self.edges, strict=True)
            ]
        reached[0] = 0.0
        return [b - a for a, b in pairwise(reached)]

    @cached_property
    def given(self) -> tuple[Floats, Floats]:
        """The same for each value of the error shared by a season, and by a pupation day: a row for each."""
        from planner.emergence.shared_error import given  # numpy: only where two are compared

        pupations, season = (self.start, self.weight), self.profile.season_share
        apart, near = (
            given(self.profile, *pupations, self.edges, c) for c in (season, season + self.profile.day_share)
        )
        return apart * (1 - STRAY), near * (1 - STRAY)


def from_pupation(profile: Profile, curve: Curve, pupated: When) -> Unconditional:
    """The distribution from ``FARTHEST`` before the median to as much after it, but at most a year.

    The curve must reach the requirement of the earliest pupae within a year.
    """
    earliest, latest = days_from_epoch(pupated.earliest), days_from_epoch(pupated.latest)
    hours, weight = (HOURS, HOUR_WEIGHT) if latest > earliest else ((0.0,), (1.0,))
    start = curve.at_each([earliest + share * (latest - earliest) for share in hours])
    far = FARTHEST * profile.spread
    ends = curve.when_each(
        [start[0] + profile.requirement * max(0.0, 1 - far), start[-1] + profile.requirement * (1 + far)]
    )
    first = int(max(earliest, ends[0]))
    last = int(min(earliest + LONGEST, ends[1])) + 1
    edges = curve.at_each([first + i / 24 for i in range((last - first) * 24 + 1)])
    return Unconditional(profile, tuple(start), weight, first, tuple(edges))
