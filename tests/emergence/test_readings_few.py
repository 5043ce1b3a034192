"""A thermometer read morning and evening, and readings that are hardly true."""

from datetime import datetime, timedelta
from math import cos, pi
from pathlib import Path

import pytest
from as_read import as_read

from planner.emergence import coverage, doubts, faults, gap_texts
from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.predict import predict
from planner.emergence.profiles import shipped
from planner.emergence.temperatures import measured
from planner.emergence.weather_of import weather_of
from planner.season.pupae import Pupa
from planner.season.reading.when import When
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
        "t.csv: nothing is read for up to 12 h: between, the course of the day is taken from the days "
        "about it. Where that is so day after day, dates may be a day off, two or three where the "
        "mean is below 18 °C",
    )


def test_read_so_it_gathers_what_a_logger_gathers(tmp_path):
    # Between 18 and 30 °C the monarch's curve is straight, and half a day apart a sine's errors cancel.
    monarch = shipped()["monarch"]
    gathered = []
    for hours in (morning_and_evening(12), range(8, 24 * 11 + 21)):
        readings = measured(season(tmp_path, logged(hours, daily_sine)))
        gathered.append(float(readings.degree_days(monarch.lower, monarch.upper).sum()))
    assert gathered[0] == pytest.approx(gathered[1], abs=12.5 / 2)  # half a day of 12.5


def gathered(folder, hours, celsius=daily_sine):
    """Degree-days of a monarch on ten days of a log, from its second noon on."""
    found = season(folder, logged(hours, celsius))
    a, b = curve_of(found, shipped()["monarch"]).at_each([days_from_epoch(FIRST) + d for d in (1.5, 11.5)])
    return b - a


RHYTHMS = {
    "morning, noon and evening": (8, 14, 20),
    "by the old climate stations": (7, 14, 21),
    "every six hours by day": (7, 13, 19),
    "four times by day": (8, 12, 16, 20),
    "four times, late": (7, 12, 17, 22),
    "in working hours": (9, 13, 17),
    "a logger off for seven hours of the night": range(6, 24),
    "every three hours": range(0, 24, 3),
}


@pytest.mark.parametrize("rhythm", RHYTHMS)
def test_at_whatever_hours_it_is_read_it_gathers_what_a_logger_gathers(tmp_path, rhythm):
    # 12.5 degree-days a day; without the nights, by the mean rate of the days, it would be 5 to 40 more.
    hours = [24 * d + h for d in range(14) for h in RHYTHMS[rhythm]]
    assert gathered(tmp_path, hours) == pytest.approx(125, abs=1.5)


def test_hours_that_vary_tell_the_same(tmp_path):
    hours = [24 * d + h + (d * 7 + h) % 3 - 1 for d in range(14) for h in (8, 14, 20)]
    assert gathered(tmp_path, hours) == pytest.approx(125, abs=1.5)


def test_the_course_of_the_day_is_that_of_the_days_about_it(tmp_path):
    # dull weeks of 24 °C without a course, then sunny ones: neither takes the other's nights
    def weeks(hour):
        return 24 + (6 * cos((hour - 15) / 24 * 2 * pi) if hour > 20 * 24 else 0)

    hours = [24 * d + h for d in range(40) for h in (8, 14, 20)]
    assert gathered(tmp_path, hours, weeks) == pytest.approx(125, abs=0.5)


def test_a_night_missing_once_is_that_of_the_other_days(tmp_path):
    hours = [h for h in range(14 * 24) if not 140 < h < 150]
    assert gathered(tmp_path, hours) == pytest.approx(125, abs=0.1)
    assert gap_texts(season(tmp_path, logged(hours, daily_sine))) == ()


@pytest.mark.parametrize("hours", [(8, 14, 20), (7, 12, 17, 22), range(6, 24)])
def test_a_month_of_such_readings_tells_the_days_to_come(tmp_path, hours):
    rows = logged([24 * d + h for d in range(33) for h in hours], daily_sine)
    found = season(tmp_path, rows)
    due = predict(
        found, Pupa(id="m1", species="monarch", place="lid", pupated=When.parse("2027-08-03T12:00"))
    )
    assert (due.high - due.low) < timedelta(days=5)
    assert due.note == ""


def test_where_too_little_is_measured_nothing_is_said_of_cold(tmp_path):
    rows = logged(range(8, 13), daily_sine)
    due = predict(
        season(tmp_path, rows),
        Pupa(id="m1", species="monarch", place="lid", pupated=When.parse("2027-07-03")),
    )
    assert due.note == "the temperatures to come are too uncertain for a latest date"


def test_parts_of_days_tell_the_weather_where_there_is_no_whole_day(tmp_path):
    # 14 h of one day: the level is known to HALF_RANGE times the share that is missing
    spread = [weather_of(season(tmp_path, logged(range(n), daily_sine))).average(5)[1] for n in (6, 15, 25)]
    assert spread[0] > 10
    assert 2 < spread[1] < 4
    assert spread[2] < spread[1]


def test_one_reading_a_day_is_told_not_to_be_used(tmp_path):
    rows = logged(range(8, 24 * 4, 24), daily_sine)
    assert list(map(str, faults(season(tmp_path, rows)))) == [
        "t.csv: 4 readings, each too far from the next to be used: read morning and evening, or state a "
        "constant temperature beside the file"
    ]
    assert coverage(season(tmp_path, rows, constant=22)) == (
        "t.csv: 4 readings are not used: none is within 18 h of them. Read morning and evening, or note "
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
        "t.csv:2:0: on 3 days nothing is read from 0 to 6 h: the nights are guessed from the days"
    ]


def test_a_rhythm_that_leaves_long_hours_unread_is_doubted(tmp_path):
    # at 7 and 22 h a day of 18 to 30 °C has a mean of 21.7: nothing tells it
    rows = logged([24 * d + h for d in range(5) for h in (7, 22)], daily_sine)
    assert told(season(tmp_path, rows)) == [
        "t.csv:2:0: on 5 days nothing is read for up to 15 h: dates may be days off. Read 12 h apart, or "
        "note date, min, max of each day"
    ]
    once = [h for h in range(24 * 5) if not 30 < h < 45]
    assert told(season(tmp_path, logged(once, daily_sine))) == []


def test_day_and_night_swapped_is_doubted(tmp_path):
    # Of a sine of ±6 °C the quarters about its top and its bottom differ by 2 × 6 × 0.9, shifted by a little.
    rows = logged(range(48), lambda hour: daily_sine(hour + 12))
    (doubt,) = told(season(tmp_path, rows))
    assert doubt.startswith("t.csv:2:0: nights are ")
    assert doubt.endswith(" °C warmer than afternoons: are the hours right (12 h clock, time zone)?")


def test_a_summer_as_summers_are_is_not_doubted(tmp_path):
    assert told(season(tmp_path, logged(range(24 * 14), daily_sine))) == []
    assert told(season(tmp_path, logged(morning_and_evening(14), daily_sine))) == []
