"""``forecast:`` of season.yaml: the next days of a weather service."""

from datetime import date

import pytest

from planner.season.forecast import ForecastDay

HEAD = "places: [{lid: t, width: 40, length: 28}]\ntemperature: {file: temperatures.csv}\n"


def test_days_are_read_in_any_order_and_in_either_unit(season_of):
    season = season_of(
        HEAD + "forecast:\n"
        "  - {day: 2027-07-06, min: 59 F, max: 77 F}\n"
        "  - {day: 2027-07-05, min: 14, max: 24.5 C}\n"
    )
    assert season.forecast == (
        ForecastDay(date(2027, 7, 5), 14.0, 24.5),
        ForecastDay(date(2027, 7, 6), pytest.approx(15.0), pytest.approx(25.0)),
    )


def test_a_file_may_hold_them_and_counts_among_what_dates_are_made_from(season_of, tmp_path):
    (tmp_path / "forecast.csv").write_text("date,min,max\n2027-07-05,14,24\n")
    season = season_of(HEAD + "forecast: {file: forecast.csv}\n")
    assert season.forecast_table == b"date,min,max\n2027-07-05,14,24\n"
    assert "forecast.csv" in season.digests


FAULTS = {
    "a day twice": (
        "forecast: [{day: 2027-07-05, min: 1, max: 2}, {day: 2027-07-05, min: 1, max: 2}]",
        "3:53: forecast[1].day: 2027-07-05 is given twice: write one entry for each day",
    ),
    "upside down": (
        "forecast: [{day: 2027-07-05, min: 20, max: 12}]",
        "3:35: forecast[0].min: is above max: write the lowest as min and the highest as max",
    ),
    "in Fahrenheit without saying so": (
        "forecast: [{day: 2027-07-05, min: 50, max: 77}]",
        "3:44: forecast[0].max: 77: -40 °C to 60 °C are allowed; for Fahrenheit write '77 F'",
    ),
    "not a number": (
        "forecast: [{day: 2027-07-05, min: mild, max: 20}]",
        "3:35: forecast[0].min: 'mild' is not a temperature: write 14, 14 C or 57 F",
    ),
    "a day that is none": (
        "forecast: [{day: 2027-02-30, min: 1, max: 2}]",
        "3:18: forecast[0].day: '2027-02-30': there is no such day",
    ),
    "nothing in it": (
        "forecast: {}",
        "3:11: forecast: write {file: forecast.csv}, or a list of {day: 2027-07-05, min: 14, max: 24}",
    ),
    "a file elsewhere": (
        "forecast: {file: ../f.csv}",
        "3:18: forecast.file: '../f.csv': the file must lie in the season's folder",
    ),
}


@pytest.mark.parametrize(("text", "line"), FAULTS.values(), ids=FAULTS)
def test_a_faulty_forecast_is_one_problem(faults_of, text, line):
    assert faults_of(HEAD + text + "\n") == [f"season.yaml:{line}"]


def test_a_forecast_without_readings_would_count_for_nothing_and_is_refused(faults_of):
    assert faults_of(
        "places: [{lid: t, width: 40, length: 28}]\nforecast: [{day: 2027-07-05, min: 1, max: 2}]\n"
    ) == [
        "season.yaml:2:11: forecast: counts only from the end of what is measured: state "
        "temperature: {file: temperatures.csv} as well"
    ]
