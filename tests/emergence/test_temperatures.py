from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from as_read import as_read

from planner.emergence import assumption, faults, gap_texts, parse_temperatures, profile_of
from planner.emergence.curve import curve_of
from planner.emergence.temperatures import measured
from planner.season.season import Season, SpeciesEntry


def _file(folder, text, encoding="utf-8"):
    (folder / "temperatures.csv").write_bytes(text.encode(encoding))


def _read(text, zone="UTC", encoding="utf-8"):
    return parse_temperatures(text.encode(encoding), "temperatures.csv", zone)


def _season(folder, text, constant=None):
    _file(folder, text)
    found = Season(
        folder=folder, name="test", constant=constant, temperature_file="temperatures.csv",
        profiles={"easy": SpeciesEntry(lower=10, upper=30, requirement=100)},
    )  # fmt: skip
    return as_read(found)


def _gathered(season):
    """Degree-days of the easy species from the first to the last reading."""
    curve, readings = curve_of(season, profile_of(season, "easy")), measured(season)
    return float(curve.at(readings.end[-1]) - curve.at(readings.start[0]))


@pytest.mark.parametrize(
    "text",
    [
        "date,min,max\n2027-07-03,10,20\n",
        "Date,Min_C,Max_C\r\n2027-07-03,10,20\r\n",
        "\ufeffmax (°C),note,min (°C),date\n20,sunny,10,2027-07-03\n\n,,,\n",
        "date;min;max\n2027-07-03;10,0;20,0\n",
        "date\tmin\tmax\n2027-07-03\t10.0\t20\n",
        "date,min_F,max_F\n2027-07-03,50,68\n",
        "date,min °F,max\n2027-07-03,50,20\n",
    ],
)
def test_daily_extremes_are_read_in_either_unit_and_any_common_form(tmp_path, text):
    readings, problems = _read(text)
    assert problems == ()
    assert readings.daily
    np.testing.assert_allclose([readings.low[0], readings.high[0]], [10, 20])


def test_a_logger_is_read_in_any_order_and_repeated_moments_are_averaged(tmp_path):
    rows = "2027-07-03 03:00,16\n2027-07-03T01:00,10\n2027-07-03T02:00,12\n2027-07-03T02:00,14\n"
    readings, problems = _read("time,temperature\n" + rows)
    assert problems == ()
    np.testing.assert_allclose(readings.low, [10, 13])
    np.testing.assert_allclose(readings.high, [13, 16])
    np.testing.assert_allclose((readings.end - readings.start) * 24, [1, 1])


def test_times_with_an_offset_become_local(tmp_path):
    # 12:00 UTC is 13:00 in Lisbon in summer.
    text = "time,temperature\n2027-07-03T12:00:00Z,20\n2027-07-03T14:00,20\n"
    readings, _ = _read(text, "Europe/Lisbon")
    assert (readings.end - readings.start)[0] * 24 == pytest.approx(1)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "temperatures.csv:1:1: the first line must name date, min, max or time, temperature"),
        ("date,min\n", "temperatures.csv:1:1: the first line must name date, min, max or time, temperature"),
        (
            "date,min,max\n2027-02-30,1,2\n",
            "temperatures.csv:2:1: date: '2027-02-30': there is no such day",
        ),
        (
            "time,temperature\n2027-07-03,20\n",
            "temperatures.csv:2:1: time: '2027-07-03' is not a time: write 2027-07-03T14:30",
        ),
        (
            "date,min,max\n2027-07-03,warm,30\n",
            "temperatures.csv:2:12: min: 'warm' is not a temperature: -60 to 70 °C is allowed",
        ),
        (
            "date,min,max\n2027-07-03,20\n",
            "temperatures.csv:2:15: max: '' is not a temperature: -60 to 70 °C is allowed",
        ),
        (
            "date,min,max\n2027-07-03,68,86\n",
            "temperatures.csv:2:15: max: '86' is not a temperature: -60 to 70 °C is allowed; "
            "if it is in °F, write max_F in the first line",
        ),
        (
            "time,temperature_F\n2027-07-03T10:00,nan\n",
            "temperatures.csv:2:18: temperature: 'nan' is not a temperature: -76 to 158 °F is allowed",
        ),
        (
            "date,min,max\n2027-07-03,20,10\n",
            "temperatures.csv:2:12: min: 20 °C is above max, 10 °C",
        ),
        (
            "date,min,max\n2027-07-03,10,20\n2027-07-03,11,21\n",
            "temperatures.csv:3:1: date: this day stands in line 2 already",
        ),
    ],
)
def test_each_fault_is_reported_with_its_place(tmp_path, text, message):
    _, problems = _read(text)
    assert list(map(str, problems)) == [message]


def test_all_faults_of_the_file_are_reported_at_once(tmp_path):
    season = _season(tmp_path, "date,min,max\nyesterday,cold,20\n2027-07-04,1,2\n2027-07-05,1,hot\n")
    assert list(map(str, faults(season))) == [
        "temperatures.csv:2:1: date: 'yesterday' is not a date: write 2027-07-03",
        "temperatures.csv:2:11: min: 'cold' is not a temperature: -60 to 70 °C is allowed",
        "temperatures.csv:4:14: max: 'hot' is not a temperature: -60 to 70 °C is allowed",
    ]


def test_a_degree_sign_in_latin_1_names_the_unit():
    # 50 °F = (50 - 32) / 1.8 = 10 °C, 68 °F = 20 °C
    readings, problems = _read("date,min °F,max °F\n2027-07-03,50,68\n", encoding="latin-1")
    assert problems == ()
    np.testing.assert_allclose([readings.low[0], readings.high[0]], [10, 20])


def test_a_file_that_is_not_there_is_a_fault():
    season = Season(folder=Path("nowhere"), name="test", temperature_file="temperatures.csv")
    assert list(map(str, faults(season))) == ["temperatures.csv: this file is not there"]


def test_a_file_without_readings_needs_a_temperature_beside_it(tmp_path):
    assert list(map(str, faults(_season(tmp_path, "date,min,max\n")))) == [
        "temperatures.csv: nothing measured yet: "
        "add readings, or state a constant temperature beside the file"
    ]
    season = _season(tmp_path, "date,min,max\n", constant=21.5)
    assert faults(season) == ()
    assert assumption(season) == "nothing measured yet in temperatures.csv; 21.5 °C, as stated in season.yaml"


def test_a_changed_file_is_read_again(tmp_path):
    assert _gathered(_season(tmp_path, "date,min,max\n2027-07-03,20,20\n")) == pytest.approx(10)
    assert _gathered(_season(tmp_path, "date,min,max\n2027-07-03,25.0,25\n")) == pytest.approx(15)


def test_up_to_three_missing_days_go_as_the_mean_of_the_days_beside_them(tmp_path):
    # 5 + 3 × (5 + 15) / 2 + 15
    season = _season(tmp_path, "date,min,max\n2027-07-03,15,15\n2027-07-07,25,25\n", constant=20.5)
    assert _gathered(season) == pytest.approx(5 + 30 + 15)
    assert gap_texts(season) == (
        "temperatures.csv: nothing measured from Sun 4 Jul to Tue 6 Jul: as the 24 h before and after",
    )


def test_more_than_three_missing_days_go_as_assumed(tmp_path):
    # 5 + 4 × 10.5 + 15
    season = _season(tmp_path, "date,min,max\n2027-07-03,15,15\n2027-07-08,25,25\n", constant=20.5)
    assert _gathered(season) == pytest.approx(5 + 42 + 15)
    assert gap_texts(season) == (
        "temperatures.csv: nothing measured from Sun 4 Jul to Wed 7 Jul: too long to bridge, assumed",
    )


def test_a_single_missing_day_is_named_alone(tmp_path):
    season = _season(tmp_path, "date,min,max\n2027-07-03,15,15\n2027-07-05,25,25\n")
    assert gap_texts(season) == (
        "temperatures.csv: nothing measured on Sun 4 Jul: as the 24 h before and after",
    )


def test_a_logger_that_paused_is_bridged_by_the_day_before_and_the_day_after(tmp_path):
    # 6 h at 20 °C (2.5), a pause of 20 h at the mean rate (10 + 14) / 2 = 12 (10), 6 h at 24 °C (3.5).
    rows = "2027-07-03T00:00,20\n2027-07-03T06:00,20\n2027-07-04T02:00,24\n2027-07-04T08:00,24\n"
    season = _season(tmp_path, "time,temperature\n" + rows)
    assert _gathered(season) == pytest.approx(2.5 + 10 + 3.5)
    assert gap_texts(season) == (
        "temperatures.csv: nothing measured from Sat 3 Jul 06:00 to Sun 4 Jul 02:00: "
        "as the 24 h before and after",
    )


def test_the_assumption_says_what_is_measured_and_what_is_not(tmp_path):
    rows = "date,min,max\n2027-07-03,18,26\n2027-07-04,20,25\n"
    # Means 22 and 22.5. Of two days little is known: the year's course still rises a little, and single days
    # depart from it by 2 °C (sd), which persist, so the average of ten days does by about 2 °C (9 in 10: 3).
    assert assumption(_season(tmp_path, rows)) == (
        "measured from Sat 3 Jul to Sun 4 Jul (temperatures.csv); "
        "the 10 days after them are expected at 23 °C, give or take 3 °C"
    )
    # Eighty days of 20 °C that never change: nor will the next ones, to the half degree that is told at
    # least.
    first = datetime(2027, 5, 1)
    steady = "".join(f"{(first + timedelta(days=k)).date()},10,30\n" for k in range(80))
    assert assumption(_season(tmp_path, "date,min,max\n" + steady)) == (
        "measured from Sat 1 May to Mon 19 Jul (temperatures.csv); "
        "the 10 days after them are expected at 20 °C, give or take 0.5 °C"
    )
    assert assumption(_season(tmp_path, rows, constant=23.0)) == (
        "measured from Sat 3 Jul to Sun 4 Jul (temperatures.csv); "
        "all other time 23 °C, as stated in season.yaml"
    )
    assert assumption(Season(folder=tmp_path, name="c")) == "23 °C throughout, as stated in season.yaml"
    in_fahrenheit = Season(folder=tmp_path, name="c", constant=(73 - 32) / 1.8)
    assert assumption(in_fahrenheit) == "22.78 °C throughout, as stated in season.yaml"


@pytest.mark.parametrize(("days", "constant", "told"), [
    ((1, 2, 6, 7), 23.0, " except 3 days, which go as the 24 h before and after; all other time 23 °C, as "
     "stated in season.yaml"),
    ((1, 2, 7, 8), 23.0, "; all other time, 4 days of gaps among it, 23 °C, as stated in season.yaml"),
    ((1, 3, 8), 23.0, " except 24 h, which go as the 24 h before and after; all other time, 4 days of gaps "
     "among it, 23 °C, as stated in season.yaml"),
    ((1, 2, 7, 8), None, " except 4 days, which go as the last days measured; the 10 days"),
])  # fmt: skip
def test_the_assumption_says_how_much_between_is_not_measured(tmp_path, days, constant, told):
    rows = "date,min,max\n" + "".join(f"2027-07-{day:02},18,26\n" for day in days)
    first = f"measured from Thu 1 Jul to {['Wed 7', 'Thu 8'][days[-1] - 7]} Jul (temperatures.csv)"
    assert assumption(_season(tmp_path, rows, constant=constant)).startswith(first + told)


def test_a_curve_leads_from_times_to_degree_days_and_back(tmp_path):
    season = _season(
        tmp_path, "date,min,max\n2027-07-03,15,25\n2027-07-04,5,30\n2027-07-09,12,35\n", constant=18.0
    )
    curve = curve_of(season, profile_of(season, "easy"))
    times = np.linspace(curve.time[0] - 3, curve.time[-1] + 3, 97)
    np.testing.assert_allclose(curve.when(curve.at(times)), times, atol=1e-9)
