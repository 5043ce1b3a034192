"""Cumulative degree-days as a function of time, and its assumptions in words.

At a constant temperature the curve is a straight line and needs no arrays. Commands that need no more than
that start without numpy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Protocol

from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.limits import LONGEST_BRIDGE
from planner.emergence.profiles import Profile
from planner.emergence.steady import Steady, steady
from planner.emergence.temperatures import measured
from planner.emergence.weather_of import forecast_of, weather_of
from planner.season.reading.told_dates import day_text, moment
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats
    from planner.emergence.readings import Readings

AHEAD = 10  # days after the readings whose average is told
LEVEL_90 = 1.645  # standard deviations within which a normal value is in 9 of 10 cases


class Curve(Protocol):
    """Cumulative degree-days as a non-decreasing function of time.

    Times are days from EPOCH, totals are degree-days. The origin of the totals is arbitrary: only differences
    have a meaning.
    """

    def __hash__(self) -> int:
        """What is reckoned from a curve is kept for the next who asks (`unconditional`)."""

    @property
    def rate(self) -> float:
        """Degree-days per day assumed where nothing is measured and no gap is bridged."""

    def at(self, time: Floats) -> Floats:
        """Cumulative degree-days at each time."""

    def when(self, total: Floats) -> Floats:
        """Earliest time at which each total is reached; infinite where it is never reached."""

    def at_each(self, times: Sequence[float]) -> list[float]:
        """``at`` for a sequence of plain numbers."""

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """``when`` for a sequence of plain numbers."""

    def late(
        self, starts: Sequence[float], needs: Sequence[float], sds: Sequence[float], z: float
    ) -> list[float]:
        """Time at which each pupa is ready when it is ``z`` standard deviations late; infinite if never.

        Of those deviations a part is the pupa's, which needs more, and a part the weather's, which brings
        less: so much of either that both together are least. In a normal distribution of the degree-days
        the time is a quantile of the readiness; the median is that of the expected weather.

        Parameters
        ----------
        starts : sequence of float
            Pupation, days from EPOCH.
        needs, sds : sequence of float
            Degree-days needed by the median pupa, and the standard deviation of what one needs.
        z : float
            Standard deviations; negative: early.
        """

    def less(self, start: float, times: Floats, sd: float, z: Floats) -> Floats:
        """Cumulative degree-days at each time, less ``z`` standard deviations of what is uncertain of them.

        Uncertain is a requirement, with the standard deviation ``sd`` in degree-days, and what the weather
        brings after ``start`` (days from EPOCH) where nothing is measured.

        Returns
        -------
        ndarray, shape (len(z), len(times))
        """


def curve_of(season: Season, profile: Profile) -> Curve:
    """The cumulative degree-day curve of one species over a season's temperatures.

    Measured time counts as measured. A gap of at most ``LONGEST_BRIDGE`` days counts at the mean rate of the
    24 h before and the 24 h after it. Days to come count by the weather expected (`weather`), the stated
    constant temperature if there is one; all other time at that, or else at the mean rate of the last days
    measured.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    if readings is None or not len(readings.start):
        return Steady(0.0) if season.constant is None else steady(season.constant, profile)
    from planner.emergence.measured_curve import measured_curve

    return measured_curve(readings, profile, season.constant, weather_of(season))


def assumption(season: Season) -> str:
    """A sentence that says which time is measured, and which temperature is assumed for the rest.

    It accompanies every forecast. Temperatures are told as the keeper states them. Places with a temperature
    of their own are told after the season's.

    Raises
    ------
    FaultyFiles
        A temperature file is missing or has faults.
    """
    told: dict[str, list[str]] = {}
    for place in season.temperature_places:
        told.setdefault(_assumed(season.at(place)), []).append(place)
    there = "".join(f". At {' and '.join(places)}: {text}" for text, places in told.items())
    return f"{_assumed(season)}{there}"


def _assumed(season: Season) -> str:
    readings = measured(season)
    stated = "" if season.constant is None else season.degrees(season.constant)
    if readings is None:
        return f"{stated} throughout, as stated in season.yaml" if stated else "no temperature is known"
    if not len(readings.start):
        return f"nothing measured yet in {season.temperature_file}; {stated}, as stated in season.yaml"
    first = day_text(_moment(readings.start[0]).date())
    last = day_text((_moment(readings.end[-1]) - timedelta(seconds=1)).date())
    known = f"measured from {first} to {last} ({season.temperature_file})"
    bridged, open_gaps = _gaps(readings)
    if bridged:
        known += f" except {_length(bridged)}, which go as the 24 h before and after"
    told = _forecast_told(season)
    if stated:
        among = f", {_length(open_gaps)} of gaps among it," if open_gaps else ""
        return f"{known}{told}; all other time{among} {stated}, as stated in season.yaml"
    if open_gaps:
        and_also = " and" if bridged else " except"
        known += f"{and_also} {_length(open_gaps)}, which go as the last days measured"
    weather = weather_of(season)
    assert weather is not None  # there are readings
    mean, off = weather.average(AHEAD)
    about, off_told = season.degrees(round(mean)), _difference(season, LEVEL_90 * off)
    return f"{known}{told}; the {AHEAD} days after them are expected at {about}, give or take {off_told}"


def _gaps(readings: Readings) -> tuple[float, float]:
    """Days in gaps of the readings that are bridged, and in those that are too long for it."""
    gaps = [float(readings.start[i + 1] - readings.end[i]) for i in readings.holes]
    return sum(gap for gap in gaps if gap <= LONGEST_BRIDGE), sum(gap for gap in gaps if gap > LONGEST_BRIDGE)


def _length(days: float) -> str:
    """``3 days``; of less than two days the hours."""
    return f"{days * 24:.0f} h" if days < 2 else f"{days:.2g} days"


def _forecast_told(season: Season) -> str:
    days = forecast_of(season)
    file = season.forecast_file or "season.yaml"
    return f", forecast to {day_text(days[-1].day)} ({file})" if days else ""


def _difference(season: Season, celsius: float) -> str:
    """A difference of temperatures in the keeper's unit: half a degree is the least told."""
    number = round(2 * celsius * (1.8 if season.fahrenheit else 1)) / 2
    return f"{max(0.5, number):g} °{'F' if season.fahrenheit else 'C'}"


def readings_end(season: Season, on: datetime) -> str:
    """Since when nothing is measured, if that is a day or more ago at ``on``, and what is assumed; or empty.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    if readings is None or not len(readings.start):
        return ""
    last = _moment(readings.end[-1])
    if on - last < timedelta(days=1):
        return ""
    when = day_text((last - timedelta(seconds=1)).date())
    ends = f"{season.temperature_file} ends on {when}"
    if season.constant is not None:
        return f"{ends}: since then {season.degrees(season.constant)} is assumed"
    weather = weather_of(season)
    assert weather is not None  # there are readings
    mean, _ = weather.average(max(1, math.floor(days_from_epoch(on)) - weather.first))
    return f"{ends}: since then about {season.degrees(round(mean))} is assumed"


def temperature_notes(season: Season, on: datetime) -> list[str]:
    """What to know of the temperatures on every sheet: where readings and forecast end; else empty.

    Raises
    ------
    FaultyFiles
        The temperature file or the forecast's is missing or has faults.
    """
    return [text for text in (readings_end(season, on), forecast_end(season, on)) if text]


def forecast_end(season: Season, on: datetime) -> str:
    """That all days of the weather service's forecast are over at ``on``, if they are; or empty.

    Raises
    ------
    FaultyFiles
        The forecast's file is missing or has faults.
    """
    days = forecast_of(season)
    if not days or days[-1].day >= on.date():
        return ""
    file = season.forecast_file or "season.yaml"
    return f"the forecast in {file} ends on {day_text(days[-1].day)}, and is over: write the next days there"


def gap_texts(season: Season) -> tuple[str, ...]:
    """One sentence for each gap in the readings: its span, and how it is bridged.

    Empty when the season has no temperature file.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    if readings is None:
        return ()
    texts = []
    for i in readings.holes:
        a, b = readings.end[i], readings.start[i + 1]
        how = "as the 24 h before and after" if b - a <= LONGEST_BRIDGE else "too long to bridge, assumed"
        texts.append(f"{season.temperature_file}: nothing measured {_span(a, b, readings.daily)}: {how}")
    return tuple(texts)


def _span(a: float, b: float, daily: bool) -> str:
    """A gap in words, by the day for daily extremes, else by the minute; ``a``, ``b``: days from EPOCH."""
    first, last = _moment(a), _moment(b)
    if not daily:
        return f"from {moment(first)} to {moment(last)}"
    before = last - timedelta(days=1)
    one = f"on {day_text(first.date())}"
    return one if before == first else f"from {day_text(first.date())} to {day_text(before.date())}"


def _moment(time: float) -> datetime:
    return EPOCH + timedelta(seconds=round(float(time) * 86400))
