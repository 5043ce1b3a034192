"""Places with a temperature of their own: each pupa gathers its degree-days where it hung.

The easy species needs 100 degree-days above 10 °C: 10 days at 20 °C, 20 days at 15 °C, 5 at 30 °C.
"""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from emergence_world import at, easy_season, emerged

from planner.emergence import assumption, emergence, faults, learn, predict
from planner.emergence.clock import days_from_epoch
from planner.emergence.profiles import profile_of
from planner.emergence.stays import curve_at, stay_of
from planner.season.places import Lid, Line
from planner.season.pupae import Formed, Pupa
from planner.season.reading.temperature import Temperature
from planner.season.reading.when import When

LID = Lid(name="lid", width=40, length=28)
SHED = Line(name="shed", length=60, height=150, clips_every=4, temperature=Temperature(15.0))
PORCH = Line(name="porch", length=60, height=150, clips_every=4)
FILED = replace(SHED, temperature=Temperature(file="shed.csv"))


def pupa(place="lid", hung=None, formed=None, pupated="2027-07-03T12:00", **more):
    return Pupa(
        id="p", species="easy", pupated=When.parse(pupated), place=place,
        hung=When.parse(hung) if hung else None, formed=Formed(formed) if formed else None, **more,
    )  # fmt: skip


def season(*pupae, places=(LID, SHED, PORCH), **changes):
    return replace(easy_season(pupae), places=places, **changes)


def due(one, **changes):
    found = predict(season(one, **changes), one)
    assert found is not None
    return found.median


def days(one, **changes):
    return (due(one, **changes) - one.pupated.middle) / timedelta(days=1)


@pytest.mark.parametrize(
    ("one", "took"),
    [
        (pupa("lid"), 10),
        (pupa("porch", "2027-07-05T12:00", "lid"), 10),
        (pupa("shed"), 20),  # nobody knows when it came there
        (pupa("shed", "2027-07-07T12:00", "lid"), 16),  # 4 days at 10, and 60 left at 5 a day: 12
        (pupa("porch", "2027-07-07T12:00", "shed"), 12),  # 4 days at 5, and 80 left at 10 a day
        (pupa("shed", "2027-07-14T12:00", "lid"), 10),  # it had its 100 before
        (pupa("shed", "2027-07-03T12:00", "lid"), 20),
    ],
)
def test_each_is_reckoned_at_each_place_for_as_long_as_it_hung_there(one, took):
    assert days(one) == pytest.approx(took, abs=0.01)


def test_the_distribution_is_of_the_same_stays():
    one = pupa("shed", "2027-07-07T12:00", "lid")
    found = emergence(season(one), one)
    assert found is not None
    assert abs(found.median - at("2027-07-19T12:00")) < timedelta(days=0.75)


def test_pupae_alike_but_for_their_place_have_each_its_own_date():
    here, there = pupa("lid"), replace(pupa("shed"), id="q")
    both = season(here, there)
    assert predict(both, there).median - predict(both, here).median == timedelta(days=10)


def test_without_temperatures_of_places_nothing_changes():
    one = pupa("porch", "2027-07-05T12:00", "lid")
    plain = season(one, places=(LID, PORCH))
    assert stay_of(plain, one) == stay_of(plain, pupa("lid"))
    assert plain.at("porch") is plain


@pytest.mark.parametrize("z", [-1.645, 0.0, 1.645])
def test_a_move_from_a_place_to_one_as_warm_changes_no_interval(z):
    alike = replace(PORCH, name="twin", temperature=Temperature(20.0))
    where = season(places=(LID, SHED, alike))
    profile = profile_of(where, "easy")
    moved = curve_at(where, profile, stay_of(where, pupa("twin", "2027-07-06T12:00", "lid")))
    stayed = curve_at(where, profile, stay_of(where, pupa("lid")))
    start = days_from_epoch(datetime(2027, 7, 3, 12))
    assert moved.late([start], [100], [10], z) == pytest.approx(stayed.late([start], [100], [10], z), abs=0.1)
    times = start + np.array([1.0, 2.9, 3.1, 8.0, 30.0])
    gathered = moved.at(times) - moved.at(np.array([start]))
    assert gathered == pytest.approx(10 * (times - start))
    assert moved.when(moved.at(times)) == pytest.approx(times)
    assert moved.when_each(moved.at_each(times.tolist())) == pytest.approx(times)


def test_the_file_of_a_place_is_read_for_it():
    readings = "date,min,max\n" + "".join(f"2027-07-{day:02},15,15\n" for day in range(1, 32))
    filed = {"places": (LID, FILED), "place_readings": {"shed.csv": readings.encode()}}
    assert days(pupa("shed"), **filed) == pytest.approx(20, abs=0.01)
    assert days(pupa("lid"), **filed) == pytest.approx(10, abs=0.01)
    assert assumption(season(**filed)).startswith(
        "20 °C throughout, as stated in season.yaml. At shed: measured from Thu 1 Jul to Sat 31 Jul (shed.csv"
    )


def test_places_of_one_temperature_are_told_together():
    other = replace(SHED, name="barn")
    assert assumption(season(places=(LID, SHED, other))) == (
        "20 °C throughout, as stated in season.yaml. "
        "At shed and barn: 15 °C throughout, as stated in season.yaml"
    )


def test_two_files_of_different_units_are_each_read_by_its_own_heading_and_faults_name_file_and_line():
    # 59 °F are 15 °C.
    celsius = b"date,min,max\n" + b"".join(b"2027-07-%02d,20,20\n" % day for day in range(1, 31))
    fahrenheit = b"date,min_F,max_F\n" + b"".join(b"2027-07-%02d,59,59\n" % day for day in range(1, 31))
    files = {"temperature_file": "porch.csv", "readings": celsius, "constant": None, "places": (LID, FILED)}
    right = season(pupa("shed"), place_readings={"shed.csv": fahrenheit}, **files)
    assert days(pupa("shed"), **{**files, "place_readings": {"shed.csv": fahrenheit}}) == pytest.approx(
        20, abs=0.01
    )
    assert faults(right) == ()
    unnamed = fahrenheit.replace(b"_F", b"").replace(b"59", b"75")
    found = faults(season(place_readings={"shed.csv": unnamed}, **files))
    assert str(found[0]).startswith("shed.csv:2:")
    assert "-60 to 70 °C" in str(found[0])


def test_a_file_that_is_not_there_is_told():
    found = faults(season(places=(LID, FILED)))
    assert [str(p) for p in found] == ["shed.csv: this file is not there"]


def test_learning_takes_each_record_where_it_hung():
    # By the season's own 20 °C the 20 days of the shed would say 200 degree-days.
    rows = [replace(p, place="shed" if i % 2 else "lid") for i, p in enumerate(emerged([10, 20] * 6))]
    (found,) = learn(season(*rows), at("2027-12-01T00:00"))
    assert found.after.requirement == pytest.approx(100, abs=2)
    assert found.accuracy_before.error < 0.2
    assert found.records == 12
