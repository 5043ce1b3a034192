"""From pupation and temperature to a date, and how far it can be trusted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import NormalDist

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import Curve, curve_of
from planner.emergence.forecast import Due
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.temperatures import measured
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

LEVEL = 0.9
# Longer than this is no development but a pupa resting over the winter, of which nothing is foretold.
LONGEST = 366.0  # days
COLD = "it is too cold for the last of them to emerge: no latest date"


# Development is stalled where the last part of it takes so many times as long as at its earlier pace.
STALLED = 2.0
BY_NOW = 0.5  # of the requirement: the pace until then is the earlier pace


@dataclass(frozen=True)
class Reached:
    """What the temperatures allow one pupa: its due, and from when it may be darkening.

    ``due`` None: the median is not reached within LONGEST. ``dark_from`` None: nor is the darkening of the
    earliest 5 %. ``ready``: whether the earliest 5 % emerge within LONGEST, so that there is a distribution.
    """

    due: Due | None = None
    dark_from: datetime | None = None
    ready: bool = False


def predict(season: Season, pupa: Pupa) -> Due | None:
    """When a pupa is due; None when it is too cold for its median to be reached, or it is not yet a pupa.

    The median is when the species' requirement of degree-days is reached, counted from ``pupated.middle``; at
    a constant temperature T that is requirement / (min(T, upper) - lower) days later. The interval is the
    central 90 % of a normal distribution of the requirement, with standard deviation ``spread`` times it, led
    through the same curve to dates. Where its end is not reached within a year, ``high`` is the end
    of that year, and ``note`` says so. Where no hour of pupation is known it is anywhere in that day, evenly:
    that adds a variance of 1/12 of the square of that day's degree-days (1/12 d² at a constant temperature);
    the sum is still nearly normal and taken as such. ``sd`` is the interval's half width over 1.645.

    Raises ValueError (species without a profile) and FaultyFiles (temperatures).
    """
    return predict_all(season, [pupa])[0]


def predict_all(season: Season, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` for many at once, in their order."""
    return [one.due for one in reached_all(season, pupae)]


def reached_all(season: Season, pupae: Sequence[Pupa]) -> list[Reached]:
    """Of many at once, in their order, what the temperatures allow them.

    Each species' curve is made only once, and those that pupated at one time share one due.
    """
    known: dict[tuple[str, When | None], Reached] = {}
    for species in dict.fromkeys(p.species for p in pupae):
        alike = {p.pupated: p for p in pupae if p.species == species and p.pupated is not None}
        if alike:
            profile = profile_of(season, species)
            found = _reached(season, profile, curve_of(season, profile), list(alike.values()))
            known |= {(species, when): one for when, one in zip(alike, found, strict=True)}
    return [known.get((p.species, p.pupated), Reached()) for p in pupae]


def predict_from(season: Season, profile: Profile, curve: Curve, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` for pupae of one species, all pupated, with any profile and its curve."""
    return [one.due for one in _reached(season, profile, curve, pupae)]


def _reached(season: Season, profile: Profile, curve: Curve, pupae: Sequence[Pupa]) -> list[Reached]:
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
    gathered = curve.at_each(start)
    median, low, high = (
        curve.when_each([g + profile.requirement + sign * z * s for g, s in zip(gathered, sd, strict=True)])
        for sign in (0, -1, 1)
    )
    end = [min(b, s + LONGEST) for s, b in zip(start, high, strict=True)]
    hot = _too_hot(season, profile, start, end)
    dark = _dark_from(profile, curve, start, gathered, [z * s for s in sd], median)
    found = []
    for i, s in enumerate(start):
        due = None
        if median[i] - s <= LONGEST:  # False where infinite, too
            note = f"above {profile.upper:g} °C development slows and pupae suffer: no reliable date"
            if not hot[i]:
                note = COLD if high[i] > end[i] else ""
            width = (median[i] - low[i]) / z if high[i] > end[i] else (high[i] - low[i]) / (2 * z)
            due = Due(_moment(median[i]), _moment(low[i]), _moment(end[i]), width, LEVEL, note)
        soon = _moment(dark[i]) if dark[i] - s <= LONGEST else None
        found.append(Reached(due, soon, low[i] - s <= LONGEST))
    return found


def _dark_from(
    profile: Profile,
    curve: Curve,
    start: Sequence[float],
    gathered: Sequence[float],
    half: Sequence[float],
    median: Sequence[float],
) -> list[float]:
    """From when each may be darkening: ``darkens_before`` the median, or earlier where development stalls.

    On its way to the median a pupa may come to stand still in the cold. By then some are ready and others
    dark, for who knows how long: there, it may be darkening as soon as the earliest 5 % would be, a darkening
    of ``darkens_before`` at the pace of the first half of the requirement.
    """
    before = profile.darkens_before / 24
    middle = curve.when_each([g + profile.requirement * BY_NOW for g in gathered])
    pace = [profile.requirement * BY_NOW / (m - s) for s, m in zip(start, middle, strict=True)]
    short = [h + p * before for h, p in zip(half, pace, strict=True)]  # degree-days short of the median
    early = curve.when_each([g + profile.requirement - d for g, d in zip(gathered, short, strict=True)])
    return [
        max(s, min(m - before, e)) if p > 0 and e < math.inf and m - e > STALLED * d / p else m - before
        for s, m, e, p, d in zip(start, median, early, pace, short, strict=True)
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
