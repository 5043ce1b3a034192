"""Predicted date of emergence with its prediction interval, from pupation and temperatures."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import NormalDist

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import Curve
from planner.emergence.forecast import Due
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.stays import Stay, curve_at, stay_of
from planner.emergence.temperatures import measured
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

LEVEL = 0.9  # chance that the prediction interval holds
# A pupa that takes longer than this is in diapause, for which no forecast is made.
LONGEST = 366.0  # days
COLD = "it is too cold for the last of them to emerge: no latest date"
UNCERTAIN = "the temperatures to come are too uncertain for a latest date"

# Development counts as stalled when its last part takes so many times as long as at its earlier pace.
STALLED = 2.0
BY_NOW = 0.5  # share of the requirement over which the earlier pace is taken


@dataclass(frozen=True)
class Reached:
    """What one pupa reaches at the season's temperatures.

    Attributes
    ----------
    due : Due or None
        None: the median is not reached within LONGEST.
    dark_from : datetime or None
        Local time from which it may be darkening. None: that is not reached within LONGEST.
    ready : bool
        Whether the earliest 5 % emerge within LONGEST; only then there is a distribution.
    """

    due: Due | None = None
    dark_from: datetime | None = None
    ready: bool = False


def predict(season: Season, pupa: Pupa) -> Due | None:
    """The due of a pupa: median and central 90 % prediction interval of its emergence.

    Parameters
    ----------
    season : Season
        Its temperatures and profiles are used.
    pupa : Pupa
        Degree-days count from ``pupated.middle``.

    Returns
    -------
    Due or None
        None when it is too cold to reach the median within a year, or when it is not yet a pupa.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        Temperatures or ``learned.yaml`` cannot be read.

    Notes
    -----
    The median is the time at which the requirement of degree-days is reached; at a constant temperature T
    that is requirement / (min(T, upper) - lower) days after pupation. The requirement is normal with standard
    deviation ``spread`` × requirement, and the curve maps the ends of its interval to dates. An end that is
    not reached within a year is set to the end of that year, and ``note`` says so. An unknown hour of
    pupation is uniform over the day and adds 1/12 of the square of that day's degree-days to the variance;
    the sum is still nearly normal and taken as such. ``sd`` is half the width of the interval divided by
    1.645.
    """
    return predict_all(season, [pupa])[0]


def predict_all(season: Season, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` of many pupae, in their order."""
    return [one.due for one in reached_all(season, pupae)]


def reached_all(season: Season, pupae: Sequence[Pupa]) -> list[Reached]:
    """``Reached`` of many pupae, in their order.

    The curve of each species and stay is computed once; pupae alike in these and pupation share one result.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        Temperatures or ``learned.yaml`` cannot be read.
    """
    stays = [stay_of(season, p) for p in pupae]
    alike: dict[tuple[str, Stay], dict[When, Pupa]] = {}
    for pupa, stay in zip(pupae, stays, strict=True):
        if pupa.pupated is not None:
            alike.setdefault((pupa.species, stay), {})[pupa.pupated] = pupa
    known: dict[tuple[str, Stay, When | None], Reached] = {}
    for (species, stay), each in alike.items():
        profile = profile_of(season.at(stay.place), species)
        curve = curve_at(season, profile, stay)
        found = _reached(season.at(stay.place), profile, curve, list(each.values()))
        known |= {(species, stay, when): one for when, one in zip(each, found, strict=True)}
    return [known.get((p.species, stay, p.pupated), Reached()) for p, stay in zip(pupae, stays, strict=True)]


def predict_from(season: Season, profile: Profile, curve: Curve, pupae: Sequence[Pupa]) -> list[Due | None]:
    """``predict`` of pupae of one species, all pupated, with a given profile and its curve."""
    return [one.due for one in _reached(season, profile, curve, pupae)]


def _reached(season: Season, profile: Profile, curve: Curve, pupae: Sequence[Pupa]) -> list[Reached]:
    whens = [p.pupated for p in pupae if p.pupated is not None]
    start, first, last = (
        [days_from_epoch(moment) for moment in moments]
        for moments in zip(*((w.middle, *w.span) for w in whens), strict=True)
    )
    # Degree-days of the day where the hour is unknown; else 0.
    of_hour = [b - a for a, b in zip(curve.at_each(first), curve.at_each(last), strict=True)]
    own = (profile.spread * profile.requirement) ** 2
    sd = [math.sqrt(own + g * g / 12) for g in of_hour]
    z = NormalDist().inv_cdf(0.5 + LEVEL / 2)
    needs = [profile.requirement] * len(start)
    quarter = NormalDist().inv_cdf(0.75)
    median, low, early, late, high = (
        curve.late(start, needs, sd, off) for off in (0, -z, -quarter, quarter, z)
    )
    end = [min(b, s + LONGEST) for s, b in zip(start, high, strict=True)]
    # Reached in the weather expected: then it is the weather's uncertainty that leaves it open, not the cold.
    least = [g + need + z * one for g, need, one in zip(curve.at_each(start), needs, sd, strict=True)]
    expected = curve.when_each(least)
    hot = _too_hot(season, profile, start, end)
    dark = _dark_from(profile, curve, start, sd, z, median)
    found = []
    for i, s in enumerate(start):
        due = None
        if median[i] - s <= LONGEST:  # False where infinite, too
            note = (
                f"above {season.degrees(profile.upper)} development slows and pupae suffer: no reliable date"
            )
            if not hot[i]:
                note = "" if high[i] <= end[i] else UNCERTAIN if expected[i] <= end[i] else COLD
            width = (median[i] - low[i]) / z if high[i] > end[i] else (high[i] - low[i]) / (2 * z)
            half = _moment(early[i]), _moment(min(late[i], s + LONGEST))
            due = Due(_moment(median[i]), _moment(low[i]), _moment(end[i]), width, LEVEL, note, half)
        soon = _moment(dark[i]) if dark[i] - s <= LONGEST else None
        found.append(Reached(due, soon, low[i] - s <= LONGEST))
    return found


def _dark_from(
    profile: Profile,
    curve: Curve,
    start: Sequence[float],
    sd: Sequence[float],
    z: float,
    median: Sequence[float],
) -> list[float]:
    """Time from which each may be darkening, days from EPOCH; infinite where it is never reached.

    It is ``darkens_before`` hours before the median, or earlier where development stalls in the cold on the
    way to the median. By then some pupae are ready and others dark, for an unknown time. There it is the time
    at which the earliest 5 % may be darkening, ``darkens_before`` taken at the pace of the first half of the
    requirement.

    Parameters
    ----------
    start : sequence of float
        Pupation, days from EPOCH.
    sd : sequence of float
        Standard deviation of what each needs, degree-days.
    z : float
        Half the width of the 90 % interval, standard deviations.
    median : sequence of float
        Median of the emergence, days from EPOCH.
    """
    before = profile.darkens_before / 24
    gathered = curve.at_each(start)
    middle = curve.when_each([g + profile.requirement * BY_NOW for g in gathered])
    pace = [profile.requirement * BY_NOW / (m - s) for s, m in zip(start, middle, strict=True)]
    # Degree-days short of the median: those of an early pupa, and those gathered from its darkening on.
    short = [z * s + p * before for s, p in zip(sd, pace, strict=True)]
    early = curve.late(start, [profile.requirement - p * before for p in pace], sd, -z)
    return [
        max(s, min(m - before, e)) if p > 0 and e < math.inf and m - e > STALLED * d / p else m - before
        for s, m, e, p, d in zip(start, median, early, pace, short, strict=True)
    ]


def _too_hot(season: Season, profile: Profile, start: Sequence[float], end: Sequence[float]) -> list[bool]:
    """Whether each span has a day with a mean temperature above ``upper``; times in days from EPOCH.

    References
    ----------
    York, Oberhauser, J. Kansas Entomol. Soc. 75 (2002) 290-298: constant 36 °C harms and lengthens
    development, daily pulses do little harm.
    """
    readings = measured(season)
    if readings is None or not len(readings.start):
        return [season.constant is not None and season.constant > profile.upper] * len(start)
    assumed = readings.recent_mean()[1] if season.constant is None else season.constant
    return readings.hot_between(start, end, profile.upper, otherwise=assumed)


def why_no_date(season: Season, profile: Profile) -> str:
    """A sentence that says why a pupa of this species has no date."""
    needs = f"{profile.name} develops above {season.degrees(profile.lower)}"
    if season.temperature_file is not None:
        return f"no date: too cold to emerge within a year ({needs})"
    if season.constant is None:
        return "no date: no temperature is stated"
    if season.constant > profile.lower:
        return f"no date: at {season.degrees(season.constant)} it would take more than a year ({needs})"
    return f"no date: too cold at {season.degrees(season.constant)} ({needs})"


def _moment(time: float) -> datetime:
    return EPOCH + timedelta(days=time)
