"""From pupation and temperature to a date, and how far it can be trusted."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from planner.emergence.curve import Curve, curve_of
from planner.emergence.degree_days import Floats
from planner.emergence.forecast import Due
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.readings import EPOCH, days_from_epoch
from planner.emergence.temperatures import measured
from planner.season.pupae import Pupa
from planner.season.season import Season

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
    """``predict`` for many at once, in their order: each species' curve is made only once."""
    dues: list[Due | None] = [None] * len(pupae)
    for species in dict.fromkeys(p.species for p in pupae):
        which = [i for i, p in enumerate(pupae) if p.species == species and p.pupated is not None]
        if not which:
            continue
        profile = profile_of(season, species)
        found = predict_from(season, profile, curve_of(season, profile), [pupae[i] for i in which])
        for i, due in zip(which, found, strict=True):
            dues[i] = due
    return dues


def predict_from(season: Season, profile: Profile, curve: Curve, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` for pupae of one species, all pupated, with any profile and its curve."""
    whens = [p.pupated for p in pupae if p.pupated is not None]
    start, first, last = (
        np.array([days_from_epoch(moment) for moment in moments])
        for moments in zip(*((w.middle, w.earliest, w.latest) for w in whens), strict=True)
    )
    of_hour = curve.at(last) - curve.at(first)  # degree-days of the day, where the hour is unknown; else 0
    sd = np.sqrt((profile.spread * profile.requirement) ** 2 + of_hour**2 / 12)
    z = NormalDist().inv_cdf(0.5 + LEVEL / 2)
    reached = curve.at(start) + profile.requirement
    median, low, high = (curve.when(reached + sign * z * sd) for sign in (0, -1, 1))
    dated = high - start <= LONGEST  # False where infinite, too
    hot = _too_hot(season, profile, curve, start, high)
    note = f"above {profile.upper:g} °C development slows and pupae suffer: no reliable date"
    return [
        Due(_moment(m), _moment(a), _moment(b), (b - a) / (2 * z), LEVEL, note if warm else "")
        if ok
        else None
        for m, a, b, ok, warm in zip(*(x.tolist() for x in (median, low, high, dated, hot)), strict=True)
    ]


def _too_hot(season: Season, profile: Profile, curve: Curve, start: Floats, end: Floats) -> NDArray[np.bool_]:
    """Whether a day on the way has a mean above ``upper``: short peaks harm little, whole days do."""
    readings = measured(season)
    if readings is None or not len(readings.start):
        return np.full(len(start), season.constant is not None and season.constant > profile.upper)
    days, means = readings.day_means()
    hot = days[means > profile.upper]
    met = np.searchsorted(hot, np.floor(start)) < np.searchsorted(hot, end)
    assumed = readings.recent_mean()[1] if season.constant is None else season.constant
    beyond = (start < curve.time[0]) | (end > curve.time[-1])
    return np.asarray(met | (beyond & (assumed > profile.upper)))


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
