"""The distribution of each pupa's emergence: one for all that are alike, in closed form where it may be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from itertools import pairwise
from typing import Protocol, Self, TypeVar

from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import Curve
from planner.emergence.marginal import STRAY, Marginal, normal_below
from planner.emergence.predict import LONGEST, reached_all
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.stays import Stay, curve_at, stay_of
from planner.emergence.steady import Steady
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

T = TypeVar("T", bound="Updated")
FARTHEST = 5.5  # standard deviations from the median at which a distribution is cut off
# Gauss-Legendre nodes for the hour of pupation, as a share of the day, and their weights, which sum to 1.
_NODES = (0.2386191860831969, 0.6612093864662645, 0.9324695142031521)
_WEIGHTS = (0.4679139345726910, 0.3607615730481386, 0.1713244923791704)
HOUR_NODES = (*((1 - x) / 2 for x in _NODES[::-1]), *((1 + x) / 2 for x in _NODES))
NODE_WEIGHTS = (*(w / 2 for w in _WEIGHTS[::-1]), *(w / 2 for w in _WEIGHTS))


class Updated(Protocol):
    """A distribution of a time of emergence that is narrowed by what is known meanwhile."""

    def darkening_seen(self, seen: When) -> Self:
        """The distribution conditional on darkening; to be applied before ``not_before``."""

    def not_before(self, now: datetime) -> Self:
        """The distribution conditional on no emergence before ``now``."""


def of_each(
    season: Season,
    pupae: Sequence[Pupa],
    now: datetime | None,
    made_of: Callable[[Profile, Curve, str, When], T],
) -> dict[str, T | None]:
    """A distribution of each pupa's emergence, by id, given what is known of it by ``now`` (local time).

    Pupae alike in species, stay, pupation, darkening and presence share one object. None for a prepupa, and
    where not even the earliest 5 % emerge within a year.

    Parameters
    ----------
    made_of
        The distribution given the time of pupation alone: of profile, curve, key of the species and that.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        Temperatures or ``learned.yaml`` cannot be read.
    """
    curves: dict[tuple[str, Stay], tuple[Profile, Curve]] = {}
    made: dict[tuple[str, Stay, When | None, When | None, bool], T | None] = {}
    found: dict[str, T | None] = {}
    for pupa, reached in zip(pupae, reached_all(season, pupae), strict=True):
        seen = pupa.darkening
        if seen and now and seen.earliest > now:
            seen = None
        kind = pupa.species, stay_of(season, pupa)
        key = (*kind, pupa.pupated, seen, pupa.present)
        if not reached.ready or pupa.pupated is None:
            made[key] = None
        elif key not in made:
            if kind not in curves:
                profile = profile_of(season, pupa.species)
                curves[kind] = profile, curve_at(season, profile, kind[1])
            whole = made_of(*curves[kind], pupa.species, pupa.pupated)
            whole = whole.darkening_seen(seen) if seen else whole
            made[key] = whole.not_before(now) if now and pupa.present else whole
        found[pupa.id] = made[key]
    return found


def marginals(season: Season, pupae: Sequence[Pupa]) -> dict[str, Marginal | None]:
    """The distribution of each pupa's emergence by itself, by id, as `of_each`."""
    return of_each(season, pupae, None, _marginal)


def _marginal(profile: Profile, curve: Curve, species: str, pupated: When) -> Marginal:
    if isinstance(curve, Steady):
        return at_constant(profile, curve, pupated)
    # This module imports numpy, which the readings of such a curve need as well.
    from planner.emergence.distribution import unconditional

    return unconditional(profile, curve, species, pupated).marginal


def at_constant(profile: Profile, curve: Steady, pupated: When) -> Marginal:
    """The distribution of emergence at a constant temperature, given the time of pupation alone.

    The requirement and what the weather in the room brings are normal. Where the hour of pupation is unknown,
    it is uniform over the day. The chance of development that takes longer than a year is counted in
    ``stray``. The rate must reach the requirement of the earliest pupae within a year.
    """
    earliest, latest = (days_from_epoch(moment) for moment in pupated.span)
    nodes, weights = (HOUR_NODES, NODE_WEIGHTS) if latest > earliest else ((0.0,), (1.0,))
    starts = [earliest + node * (latest - earliest) for node in nodes]
    sd, middle = profile.spread * profile.requirement, (earliest + latest) / 2
    mean = sum(starts) / len(starts)
    soonest, longest = (
        curve.late([middle], [profile.requirement + curve.rate * (start - mean)], [sd], z)[0]
        for start, z in ((starts[0], -FARTHEST), (starts[-1], FARTHEST))
    )
    first = int(max(earliest, soonest))
    last = int(min(earliest + LONGEST, longest)) + 1
    reached = [0.0]  # the small chance before is added to the first hour
    for k in range(1, (last - first) * 24 + 1):
        time = first + k / 24
        both = curve.uncertain(time - middle, sd)
        by = (
            weight * normal_below((curve.rate * (time - start) - profile.requirement) / both)
            for start, weight in zip(starts, weights, strict=True)
        )
        reached.append(max(reached[-1], sum(by)))
    hours = tuple((b - a) * (1 - STRAY) for a, b in pairwise(reached))
    return Marginal(profile, first, hours, STRAY + (1 - STRAY) * max(0.0, 1 - reached[-1]))
