"""From pupation and temperature to a date, and how far it can be trusted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from statistics import NormalDist

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import Curve, curve_of
from planner.emergence.forecast import Due
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.temperatures import measured
from planner.season.pupae import Pupa
from planner.season.season import Season
from planner.season.when import When

LEVEL = 0.9
# Longer than this is no development but a pupa resting over the winter, of which nothing is foretold.
LONGEST = 366.0  # days


def predict(season: Season, pupa: Pupa) -> Due | None:
    """When a pupa is due; None when it is too cold for a date, or not yet a pupa.

    The median is when the species' requirement of degree-days is reached, counted from ``pupated.middle``; at
    a constant temperature T that is requirement / (min(T, upper) - lower) days later. The interval is the
    central 90 % of a normal distribution of the requirement, with standard deviation ``spread`` times it, led
    through the same curve to dates. Where no hour of pupation is known it is anywhere in that day, evenly:
    that adds a variance of 1/12 of the square of that day's degree-days (1/12 d² at a constant temperature);
    the sum is still nearly normal and taken as such. ``sd`` is the interval's half width over 1.645.

    Raises ValueError (species without a profile) and FaultyFiles (temperatures).
    """
    return predict_all(season, [pupa])[0]


def predict_all(season: Season, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` for many at once, in their order.

    Each species' curve is made only once, and those that pupated at one time share one due.
    """
    known: dict[tuple[str, When | None], Due | None] = {}
    for species in dict.fromkeys(p.species for p in pupae):
        alike = {p.pupated: p for p in pupae if p.species == species and p.pupated is not None}
        if alike:
            profile = profile_of(season, species)
            found = predict_from(season, profile, curve_of(season, profile), list(alike.values()))
            known |= {(species, when): due for when, due in zip(alike, found, strict=True)}
    return [known.get((p.species, p.pupated)) for p in pupae]


def predict_from(season: Season, profile: Profile, curve: Curve, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` for pupae of one species, all pupated, with any profile and its curve."""
    whens = [p.pupated for p in pupae if p.pupated is not None]
    start, first, last = (
        [days_from_epoch(moment) for moment in moments]
        for moments in zip(*((w.middle, w.earliest, w.latest) for w in whens), strict=True)
    )
    # Degree-days of the day where the hour is unknown; else 0.
    of_hour = [b - a for a, b in zip(curve.at_each(first), curve.at_each(last), strict=True)]
    own = (profile.spread * profile.requirement) ** 2
    sd = [math.sqrt(own + g * g / 12) for g in of_hour]
    z = NormalDist().inv_cdf(0.5 + LEVEL / 2)
    reached = [at + profile.requirement for at in curve.at_each(start)]
    median, low, high = (
        curve.when_each([r + sign * z * s for r, s in zip(reached, sd, strict=True)]) for sign in (0, -1, 1)
    )
    hot = _too_hot(season, profile, start, high)
    note = f"above {profile.upper:g} °C development slows and pupae suffer: no reliable date"
    return [
        Due(_moment(m), _moment(a), _moment(b), (b - a) / (2 * z), LEVEL, note if warm else "")
        if b - s <= LONGEST  # False where infinite, too
        else None
        for s, m, a, b, warm in zip(start, median, low, high, hot, strict=True)
    ]


def _too_hot(season: Season, profile: Profile, start: Sequence[float], end: Sequence[float]) -> list[bool]:
    """Whether a day on the way has a mean above ``upper``: short peaks harm little, whole days do."""
    readings = measured(season)
    if readings is None or not len(readings.start):
        return [season.constant is not None and season.constant > profile.upper] * len(start)
    assumed = readings.recent_mean()[1] if season.constant is None else season.constant
    return readings.hot_between(start, end, profile.upper, otherwise=assumed)


def why_no_date(season: Season, profile: Profile) -> str:
    """Why a pupa of this species has no date, in words."""
    needs = f"{profile.name} develops above {profile.lower:g} °C"
    if season.temperature_file is not None:
        return f"no date: too cold to emerge within a year ({needs})"
    if season.constant is None:
        return "no date: no temperature is stated"
    if season.constant > profile.lower:
        return f"no date: at {season.constant:.4g} °C it would take more than a year ({needs})"
    return f"no date: too cold at {season.constant:.4g} °C ({needs})"


def _moment(time: float) -> datetime:
    return EPOCH + timedelta(days=time)
