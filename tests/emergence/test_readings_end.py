from datetime import datetime
from pathlib import Path

import pytest
from typer.testing import CliRunner

from planner.cli.app import app
from planner.emergence import readings_end
from planner.season import Season

FILE = b"date,min,max\n2027-07-03,18,22\n2027-07-04,18,22\n"  # measured to the end of 4 July, mean 20


def season(readings=FILE, constant=None, file="temperatures.csv", **more):
    return Season(
        folder=Path(), name="Porch", temperature_file=file, readings=readings, constant=constant, **more
    )


@pytest.mark.parametrize("on", [datetime(2027, 7, 5, 12), datetime(2027, 7, 5, 23, 59), datetime(2027, 7, 1)])
def test_a_log_of_yesterday_is_as_good_as_logs_are(on):
    assert readings_end(season(), on) == ""


def test_a_log_that_ends_a_day_ago_is_told_with_what_is_assumed_since():
    on = datetime(2027, 7, 6)
    assert (
        readings_end(season(), on) == "temperatures.csv ends on Sun 4 Jul: since then about 20 °C is assumed"
    )
    told = "temperatures.csv ends on Sun 4 Jul: since then 73.4 °F is assumed"
    assert readings_end(season(constant=23.0, fahrenheit=True), on) == told


def test_a_temperature_is_told_as_it_was_stated():
    stated = season(constant=(72 - 32) / 1.8, fahrenheit=True)
    assert readings_end(stated, datetime(2027, 7, 6)).endswith("since then 72 °F is assumed")


def test_without_readings_there_is_nothing_to_tell():
    assert readings_end(season(None, 23.0, None), datetime(2027, 7, 9)) == ""
    assert readings_end(season(b"date,min,max\n", 23.0), datetime(2027, 7, 9)) == ""


def test_where_readings_end_is_said_on_each_sheet(tmp_path):
    # Days that never changed are expected to go on: 20 °C.
    (tmp_path / "season.yaml").write_text(
        "timezone: Europe/Lisbon\ntemperature: {file: temperatures.csv}\n"
        "places: [{lid: tub, width: 40, length: 28}, {line: n, length: 90, height: 150, clips_every: 5}]\n"
    )
    rows = "".join(f"2027-06-{day:02},10,30\n" for day in range(1, 31))
    (tmp_path / "temperatures.csv").write_text("date,min,max\n" + rows)
    (tmp_path / "pupae.csv").write_text("id,pupated,place\nm1,2027-06-28,tub\n")
    told = "temperatures.csv ends on Wed 30 Jun: since then about 20 °C is assumed"
    for command in ("plan", "today", "outlook", "page", "check"):
        said = CliRunner().invoke(app, [command, str(tmp_path), "--on", "2027-07-03T12:00"])
        assert told in " ".join(f"{said.stdout} {said.stderr}".split()), command
