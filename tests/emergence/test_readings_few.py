"""A thermometer read morning and evening, and readings that are hardly true."""

from datetime import datetime, timedelta
from math import cos, pi
from pathlib import Path

import pytest
from as_read import as_read

from planner.emergence import coverage, doubts, faults
from planner.emergence.profiles import shipped
from planner.emergence.temperatures import measured
from planner.season.season import Season

FIRST = datetime(2027, 7, 3)
NOW = datetime(2027, 8, 1)


def season(folder: Path, rows, head="time,temperature", constant=None) -> Season:
    text = "\n".join([head, *rows]) + "\n"
    (folder / "t.csv").write_text(text)
    found = Season(folder=folder, name="test", species="monarch", temperature_file="t.csv", constant=constant)
    return as_read(found)


def logged(hours, celsius):
    """A row for each of the hours after FIRST."""
    return [f"{(FIRST + timedelta(hours=h)).isoformat(timespec='minutes')},{celsius(h):.2f}" for h in hours]


def daily_sine(hour):
    """18 to 30 °C, warmest at 15 h."""
    return 24 + 6 * cos((hour - 15) / 24 * 2 * pi)


def morning_and_evening(days):
    return [24 * d + h for d in range(days) for h in (8, 20)]


def test_a_thermometer_read_at_8_and_at_20_h_is_used(tmp_path):
    found = season(tmp_path, logged(morning_and_evening(5), daily_sine))
    assert faults(found) == ()
    assert coverage(found) == (
        "t.csv: 3 of 5 days are measured wholly; of the others: Sat 3 Jul 67 %, Wed 7 Jul 83 %",
        "t.csv: readings up to 12 h apart are joined by straight lines, as nothing is known between: "
        "dates may be a day off, two or three where the mean is below 18 °C",
    )


def test_read_so_it_gathers_what_a_logger_gathers(tmp_path):
    # Between 18 and 30 °C the monarch's curve is straight, and half a day apart a sine's errors cancel.
    monarch = shipped()["monarch"]
    gathered = []
    for hours in (morning_and_evening(12), range(8, 24 * 11 + 21)):
        readings = measured(season(tmp_path, logged(hours, daily_sine)))
        gathered.append(float(readings.degree_days(monarch.lower, monarch.upper).sum()))
    assert gathered[0] == pytest.approx(gathered[1], abs=12.5 / 2)  # half a day of 12.5


def test_a_hole_of_a_night_in_a_loggers_readings_is_no_straight_line(tmp_path):
    hours = [h for h in range(72) if not 20 < h < 30]
    readings = measured(season(tmp_path, logged(hours, daily_sine)))
    assert len(readings.holes) == 1


def test_one_reading_a_day_is_told_not_to_be_used(tmp_path):
    rows = logged(range(8, 24 * 4, 24), daily_sine)
    assert list(map(str, faults(season(tmp_path, rows)))) == [
        "t.csv: 4 readings, each too far from the next to be used: read morning and evening, or state a "
        "constant temperature beside the file"
    ]
    assert coverage(season(tmp_path, rows, constant=22)) == (
        "t.csv: 4 readings are not used: none is within 15 h of them. Read morning and evening, or note "
        "date, min, max of each day",
    )


def told(found):
    return list(map(str, doubts(found, NOW)))


def test_days_that_are_still_to_come_are_doubted_with_the_first_of_them(tmp_path):
    # today, 1 August, may stand there; of the days after it there are two
    days = ["2027-07-31,15,25", "2027-08-01,15,26", "2027-08-02,16,26", "2027-08-03,16,27"]
    assert told(season(tmp_path, days, "date,min,max")) == [
        "t.csv:4:0: Mon 2 Aug 2027 is still to come (2 such rows), and counts as measured: are day and month "
        "the right way round? A weather service's days stand under forecast: in season.yaml"
    ]


def test_a_log_in_fahrenheit_under_a_heading_without_a_unit_is_doubted(tmp_path):
    rows = logged(range(48), lambda hour: daily_sine(hour) * 1.8 + 32 - 17)  # 47.4 to 69 °F
    assert told(season(tmp_path, rows)) == [
        "t.csv:2:0: 50.6 °C is hardly an air temperature in the shade: -10 °C to 45 °C is usual "
        "(48 such rows); no unit is named: if it is in °F, write temperature_F, or min_F and max_F, in "
        "the first line"
    ]
    assert told(season(tmp_path, rows, "time,temperature_F")) == []


def test_frost_is_doubted_where_butterflies_are_raised(tmp_path):
    assert told(season(tmp_path, ["2027-07-03,5,20", "2027-07-04,-12.5,21"], "date,min,max")) == [
        "t.csv:3:0: -12.5 °C is hardly an air temperature in the shade: -10 °C to 45 °C is usual"
    ]


def test_a_sensor_stuck_for_a_day_is_doubted(tmp_path):
    rows = logged(range(72), lambda hour: 21.5 if 24 <= hour <= 50 else daily_sine(hour))
    assert told(season(tmp_path, rows)) == [
        "t.csv:26:0: 21.5 °C for 26 h without a change: is the sensor stuck?"
    ]


def test_extremes_filled_down_are_doubted(tmp_path):
    rows = [f"2027-07-0{d},18,27" for d in (3, 4, 5)]
    assert told(season(tmp_path, rows, "date,min,max")) == [
        "t.csv:2:0: the same minimum and maximum on 3 days: were they filled down?"
    ]


def test_a_jump_is_doubted(tmp_path):
    rows = logged(range(24), lambda hour: 41 if hour == 10 else 24 + hour / 10)
    assert told(season(tmp_path, rows)) == [
        "t.csv:12:0: from 24.9 °C to 41 °C within 60 minutes: was it in the sun, or in a hand?",
        "t.csv:13:0: from 41 °C to 25.1 °C within 60 minutes: was it in the sun, or in a hand?",
    ]


def test_missing_nights_are_doubted(tmp_path):
    rows = logged([24 * d + h for d in range(3) for h in range(7, 22)], daily_sine)
    assert told(season(tmp_path, rows)) == [
        "t.csv:2:0: on 3 days nothing is read from 0 to 6 h: the nights are missing"
    ]


def test_day_and_night_swapped_is_doubted(tmp_path):
    # Of a sine of ±6 °C the quarters about its top and its bottom differ by 2 × 6 × 0.9, shifted by a little.
    rows = logged(range(48), lambda hour: daily_sine(hour + 12))
    (doubt,) = told(season(tmp_path, rows))
    assert doubt.startswith("t.csv:2:0: nights are ")
    assert doubt.endswith(" °C warmer than afternoons: are the hours right (12 h clock, time zone)?")


def test_a_summer_as_summers_are_is_not_doubted(tmp_path):
    assert told(season(tmp_path, logged(range(24 * 14), daily_sine))) == []
    assert told(season(tmp_path, logged(morning_and_evening(14), daily_sine))) == []
