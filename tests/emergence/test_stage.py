"""Own species with easy numbers: 100 degree-days above 10 °C, so 10 days at 20 °C, from noon to noon."""

from datetime import datetime
from pathlib import Path

import pytest

from planner.emergence import forecasts, gap
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry


def _season(*pupae, constant=20.0):
    profiles = {"easy": SpeciesEntry(lower=10, upper=30, requirement=100, spread=0.1)}
    return Season(folder=Path(), name="test", constant=constant, profiles=profiles, pupae=pupae)


def _pupa(pupated, name="p", **fields):
    when = None if pupated is None else When.parse(pupated)
    return Pupa(id=name, species="easy", pupated=when, place="lid", **fields)


def _forecast(pupated, on, constant=20.0, **fields):
    return forecasts(_season(_pupa(pupated, **fields), constant=constant), datetime.fromisoformat(on))["p"]


@pytest.mark.parametrize(
    ("pupated", "on", "stage", "why"),
    [
        # A bare date may mean midnight at its end: 24 h later the 5th begins.
        ("2027-07-03", "2027-07-04T23:59", "soft", "soft until the end of Sun 4 Jul"),
        ("2027-07-03", "2027-07-05T00:00", "firm", ""),
        ("2027-07-03T14:30", "2027-07-04T14:29", "soft", "soft until Sun 4 Jul 14:30"),
        ("2027-07-03T14:30", "2027-07-04T14:30", "firm", ""),
        # Noon of the 3rd + 10 d = noon of the 13th; a day before that it may be darkening.
        ("2027-07-03", "2027-07-12T11:59", "firm", ""),
        ("2027-07-03", "2027-07-12T12:00", "darkening", "may be darkening, due Tue 13 Jul"),
        ("2027-07-03", "2027-08-01T00:00", "darkening", "may be darkening, due Tue 13 Jul"),
        ("2027-07-03", "2027-07-02T23:59", "soft", "pupated after this day"),
        ("2027-07-03", "2027-07-03T00:00", "soft", "soft until the end of Sun 4 Jul"),
        (None, "2027-07-03T00:00", "prepupa", "prepupa, hanging in a J"),
    ],
)
def test_stages_follow_one_another_to_the_minute(pupated, on, stage, why):
    forecast = _forecast(pupated, on)
    assert (forecast.stage, forecast.why) == (stage, why)
    assert forecast.movable == (why == "")


def test_darkening_that_was_seen_counts_before_it_was_expected():
    forecast = _forecast("2027-07-03", "2027-07-09", darkening=When.parse("2027-07-08T19:00"))
    assert (forecast.stage, forecast.why) == ("darkening", "darkening seen on 8 Jul 19:00")
    assert forecast.dark_from == datetime(2027, 7, 8, 19)


def test_darkening_that_will_be_seen_later_is_not_known_yet():
    assert _forecast("2027-07-03", "2027-07-08T18:59", darkening=When.parse("2027-07-08T19:00")).movable


def test_the_hours_from_and_until_are_given_with_the_stage():
    forecast = _forecast("2027-07-03", "2027-07-06")
    assert forecast.firm_from == datetime(2027, 7, 5)
    assert forecast.dark_from == datetime(2027, 7, 12, 12)
    assert forecast.due is not None
    assert forecast.due.median == datetime(2027, 7, 13, 12)


def test_those_that_are_gone_are_not_forecast():
    season = _season(_pupa("2027-07-03", "a"), _pupa("2027-07-03", "b", outcome="emerged"))
    assert list(forecasts(season, datetime(2027, 7, 6))) == ["a"]


def test_in_the_cold_there_is_no_date_and_a_note_says_why():
    forecast = _forecast("2027-07-03", "2027-07-20", constant=10.0)
    assert (forecast.stage, forecast.due, forecast.dark_from) == ("firm", None, None)
    assert forecast.note == "no date: too cold at 10 °C (easy develops above 10 °C)"


def test_just_above_the_threshold_a_date_beyond_a_year_is_no_date():
    # 0.2 degree-days a day: 500 days.
    forecast = _forecast("2027-07-03", "2027-07-20", constant=10.2)
    assert forecast.due is None
    assert forecast.note == "no date: at 10.2 °C it would take more than a year (easy develops above 10 °C)"


def test_a_hair_above_the_threshold_overflows_nothing():
    warmer = 10.000000000000002  # the next number after 10
    assert _forecast("2027-07-03", "2027-07-20", constant=warmer).due is None


def test_above_the_upper_threshold_the_date_comes_with_a_warning():
    # Cut off at 30 °C: 100 / 20 = 5 days.
    forecast = _forecast("2027-07-03", "2027-07-06", constant=34.0)
    assert forecast.due is not None
    assert forecast.due.median == datetime(2027, 7, 8, 12)
    assert forecast.note == "above 30 °C development slows and pupae suffer: no reliable date"


def test_gaps_are_days_between_medians():
    season = _season(_pupa("2027-07-03", "a"), _pupa("2027-07-05", "b"), _pupa("2027-07-05T18:00", "c"))
    found = forecasts(season, datetime(2027, 7, 6))
    a, b, c = (found[name].due for name in "abc")
    assert a is not None
    assert b is not None
    assert c is not None
    assert gap(a, b) == gap(b, a) == 2
    assert gap(b, c) == 0.25
