"""The verifier reckons plain dates itself: a mistake of the forecasts, which the planner shares, is told."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from as_read import as_read
from hypothesis import given
from hypothesis import strategies as st
from tries import tries
from verify_world import World, good, pupa, season

from planner.emergence import forecasts, predict
from planner.emergence.weather_of import weather_of
from planner.season.places import Lid, Line
from planner.season.plan.plan_record import Plan
from planner.season.pupae import Formed
from planner.season.reading.temperature import Temperature
from planner.season.reading.when import When
from planner.verify import case as verify_case
from planner.verify import verify
from planner.verify.dates import NEAR, Reckoned

ON = datetime(2027, 7, 5, 8)
LID = Lid(name="tub", width=40, length=28)


def recorded(tmp_path, text, *pupae, constant=None):
    """A season of these pupae, measured so."""
    (tmp_path / "temperatures.csv").write_text(text)
    found = season((LID,), pupae)
    return as_read(replace(found, folder=tmp_path, temperature_file="temperatures.csv", constant=constant))


def days(first, *pairs):
    rows = (f"{first + timedelta(days=n)},{low},{high}" for n, (low, high) in enumerate(pairs))
    return "\n".join(["date,min,max", *rows]) + "\n"


def reckoned(case, on=ON):
    return dict(Reckoned(case, on).dues())


# told


def shifted(by):
    """Forecasts that are wrong by so much, for the planner and the verifier alike."""

    def wrong(case, on):
        return {
            name: f if f.due is None else replace(f, due=replace(f.due, median=f.due.median + by))
            for name, f in forecasts(case, on).items()
        }

    return wrong


def test_a_day_by_which_the_forecasts_themselves_are_wrong_is_told(monkeypatch):
    world, (name, true) = good(), ("a1", date(2027, 7, 7))
    monkeypatch.setattr(verify_case, "forecasts", shifted(timedelta(days=1)))
    late = replace(
        world.plan,
        hangs=tuple(replace(h, due=h.due and h.due + timedelta(days=1)) for h in world.plan.hangs),
    )
    said = [str(b) for b in verify(world.season, late) if b.pupae == (name,)]
    assert f"dates: {name} is due 2027-07-08 in the plan: allowed is {true}, by its degree-days" in said


def test_a_move_later_than_its_degree_days_allow_is_told():
    # Pupated 27 June, 10 days at 23 °C from noon: due 7 July 12:00, may be darkening from 6 July 12:00.
    said = good().move("a1", not_after=datetime(2027, 7, 6, 15)).says()
    assert (
        "dates: step 1, a1: not after 2027-07-06 15:00: allowed is until 2027-07-06 12:00, by its degree-days"
    ) in said


def test_a_move_sooner_than_its_hours_allow_is_told():
    said = good().move("a1", not_before=datetime(2027, 6, 28, 21)).says()
    assert (
        "dates: step 1, a1: not before 2027-06-28 21:00: allowed is from 2027-06-29 00:00, by the hours "
        "since it pupated"
    ) in said


def test_two_hours_are_no_difference():
    said = good().move("a1", not_after=datetime(2027, 7, 6, 13, 59)).says()
    assert [line for line in said if line.startswith("dates")] == []


# the same as forecast


def test_at_a_constant_temperature_it_is_the_requirement_by_the_degrees_above_the_threshold():
    # 130 degree-days at 23 - 10: ten days from noon.
    assert reckoned(good().season)["a1"] == datetime(2027, 7, 7, 12)


def test_a_day_is_the_mean_of_its_wave_and_the_days_to_come_are_those_expected(tmp_path):
    # Days of 20 to 26 °C are never below the threshold of 10, so each is worth its mean, 13 degree-days: from
    # noon of the 1st 6.5 + 13 + 13 by the end of the 3rd, then the 97.5 left by the means expected, which are
    # above 10 °C all day, too.
    case = recorded(tmp_path, days(date(2027, 7, 1), *[(20, 26)] * 3), pupa("m1", "2027-07-01", "tub"))
    expected = weather_of(case)
    assert (expected.mean - expected.half)[:10].min() > 10
    total = np.append(0, np.cumsum(expected.mean - 10))
    left = float(np.interp(97.5, total, np.arange(len(total))))
    found = reckoned(case)["m1"]
    assert abs(found - (datetime(2027, 7, 4) + timedelta(days=left))) < timedelta(minutes=1)
    assert 7 < left < 8  # about 7.5, as 13 a day would give


@st.composite
def measured_days(draw):
    lows = draw(st.lists(st.integers(-5, 30), min_size=1, max_size=12))
    return [(low, low + draw(st.integers(0, 20))) for low in lows]


@tries(25)
@given(measured_days(), st.sampled_from([None, 12, 23, 35]), st.integers(0, 23))
def test_the_forecast_is_the_same_within_two_hours_whatever_was_measured(
    tmp_path_factory, each, constant, hour
):
    one = pupa("m1", f"2027-07-01T{hour:02d}:00", "tub")
    case = recorded(tmp_path_factory.mktemp("s"), days(date(2027, 7, 1), *each), one, constant=constant)
    when, forecast = reckoned(case).get("m1"), predict(case, one)
    if when is not None:
        assert forecast is not None
        assert abs(when - forecast.median) < NEAR


# where nothing is said


DAY = "date,min,max\n2027-07-01,18,28\n"


@pytest.mark.parametrize(
    ("text", "one"),
    [
        ("time,temperature\n2027-07-01T00:00,23\n2027-07-01T04:00,23\n", pupa("m1", "2027-07-01", "tub")),
        (DAY + "2027-07-03,18,28\n", pupa("m1", "2027-07-01", "tub")),
        (DAY, pupa("m1", "2027-06-30", "tub")),
        (DAY, replace(pupa("m1", "2027-07-01", "tub"), darkening=pupa("m2", "2027-07-05", "tub").pupated)),
        ("date,min,max\n2027-07-01,5,10\n", pupa("m1", "2027-07-01", "tub")),
        ("date,min,max\n2027-07-01,10,10.5\n", pupa("m1", "2027-07-01", "tub")),
        (DAY, pupa("m1", None, "tub")),
    ],
    ids=["a logger", "a day missing", "pupated before", "darkening", "too cold", "too slow", "a prepupa"],
)
def test_of_what_is_not_plain_nothing_is_said(tmp_path, text, one):
    assert reckoned(recorded(tmp_path, text, one)) == {}


def test_of_one_past_its_requirement_nothing_is_said():
    # a1 is due on 7 July at noon.
    assert "a1" in reckoned(good().season, datetime(2027, 7, 7, 11))
    assert "a1" not in reckoned(good().season, datetime(2027, 7, 7, 12))


def test_without_a_temperature_nothing_is_said():
    world = good().set(constant=None)
    assert reckoned(world.season) == {}
    nobody = World(world.season, Plan(on=ON, gap_days=2, hangs=()))
    assert [line for line in nobody.says() if line.startswith("dates")] == []


@pytest.mark.parametrize(
    ("place", "hung", "lid"),
    [
        ("tub", None, None),
        ("shed", None, None),
        ("shed", "2027-07-04T12:00", "tub"),
        ("shed", "2027-07-04", "gone"),
    ],
)
def test_who_was_moved_to_another_temperature_is_reckoned_at_both(place, hung, lid):
    shed = Line(name="shed", length=60, height=150, clips_every=4, temperature=Temperature(18.0))
    formed = Formed(lid) if lid else None
    when = When.parse(hung) if hung else None
    one = replace(pupa("m1", "2027-07-01", place), hung=when, formed=formed)
    case = season((LID, shed), (one,))
    due = predict(case, one)
    assert due is not None
    assert abs(reckoned(case)["m1"] - due.median) < timedelta(minutes=1)
