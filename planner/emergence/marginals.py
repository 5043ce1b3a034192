"""Each pupa's own distribution of emergence, at a constant temperature in closed form."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import Curve
from planner.emergence.each_pupa import of_each
from planner.emergence.marginal import STRAY, Marginal, days_possible, normal_below, pupation_times
from planner.emergence.profiles import Profile
from planner.emergence.steady import Steady
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season


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
    starts, weights = pupation_times(pupated)
    first, last = days_possible(profile, curve, pupated, curve.at_each(starts))
    sd, middle = profile.spread * profile.requirement, days_from_epoch(pupated.middle)
    reached = [0.0]  # the small chance before is added to the first hour
    for k in range(1, (last - first) * 24 + 1):
        time = first + k / 24
        both = curve.sd_after(time - middle, sd)
        by = (
            weight * normal_below((curve.rate * (time - start) - profile.requirement) / both)
            for start, weight in zip(starts, weights, strict=True)
        )
        reached.append(max(reached[-1], sum(by)))
    hours = tuple((b - a) * (1 - STRAY) for a, b in pairwise(reached))
    return Marginal(profile, first, hours, STRAY + (1 - STRAY) * max(0.0, 1 - reached[-1]))
