"""Own species with easy numbers: 100 degree-days above 10 °C, spread 0.1, so 10 ± 1 days at 20 °C."""

import math
import time
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from as_read import as_read

from planner.emergence import predict, predict_all
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry

Z = 1.6448536269514722  # half of the central 90 % of a standard normal distribution


def _season(folder=Path(), constant=20.0, file=None, spread=0.1):
    found = Season(
        folder=folder, name="test", constant=constant, temperature_file=file,
        profiles={"easy": SpeciesEntry(lower=10, upper=30, requirement=100, spread=spread)},
    )  # fmt: skip
    return as_read(found)


def _pupa(pupated):
    return Pupa(id="p", species="easy", pupated=When.parse(pupated), place="lid")


def _predict(pupated, **season):
    due = predict(_season(**season), _pupa(pupated))
    assert due is not None
    return due


def _write(folder, text):
    (folder / "temperatures.csv").write_text(text, encoding="utf-8")
    return {"folder": folder, "file": "temperatures.csv"}


def test_an_exact_hour_leaves_only_the_spread_of_the_species():
    due = _predict("2027-07-03T12:00")
    assert due.median == datetime(2027, 7, 13, 12)
    assert due.sd == pytest.approx(1.0, abs=1e-6)
    assert (due.median - due.low) / timedelta(days=1) == pytest.approx(Z, abs=1e-6)
    assert (due.high - due.median) / timedelta(days=1) == pytest.approx(Z, abs=1e-6)


def test_a_bare_date_counts_from_noon_and_adds_the_variance_of_an_even_day():
    due = _predict("2027-07-03")
    assert due.median == datetime(2027, 7, 13, 12)
    assert due.sd == pytest.approx(math.sqrt(1 + 1 / 12), abs=1e-6)


def test_the_spread_goes_with_the_duration():
    # At 15 °C: 5 degree-days a day, 20 days, sd 2.
    assert _predict("2027-07-03T12:00", constant=15.0).sd == pytest.approx(2.0, abs=1e-6)


def test_a_prepupa_has_no_date():
    assert predict(_season(), Pupa(id="p", species="easy", pupated=None, place="lid")) is None


def test_measured_days_count_as_measured_and_later_ones_as_assumed(tmp_path):
    # The 3rd to the 5th at 25 °C: 15 a day. From noon of the 3rd: 7.5 + 15 + 15 = 37.5 by the end of the 5th,
    # then 62.5 at 10 a day: 6.25 days into the 6th and on, 06:00 of the 12th.
    file = _write(tmp_path, "date,min,max\n2027-07-03,25,25\n2027-07-04,25,25\n2027-07-05,25,25\n")
    assert _predict("2027-07-03", **file, constant=20.0).median == datetime(2027, 7, 12, 6)


def test_the_interval_goes_through_the_measured_temperatures_too(tmp_path):
    # From 06:00 of the 3rd: 15 a day for 6 days reach 90 at 06:00 of the 9th; with the day's end of the 8th
    # measured, 5.75 days × 15 = 86.25 are measured. low: 100 - 1.645 × 10 = 83.55, still at 15 a day.
    rows = "".join(f"2027-07-0{day},25,25\n" for day in range(3, 9))
    due = _predict("2027-07-03T06:00", **_write(tmp_path, "date,min,max\n" + rows), constant=15.0)
    start = datetime(2027, 7, 3, 6)
    assert (due.low - start) / timedelta(days=1) == pytest.approx((100 - Z * 10) / 15, abs=1e-6)
    assert (due.median - start) / timedelta(days=1) == pytest.approx(5.75 + 13.75 / 5, abs=1e-6)
    assert (due.high - start) / timedelta(days=1) == pytest.approx(5.75 + (13.75 + Z * 10) / 5, abs=1e-6)


def test_what_came_before_the_first_measured_day_is_assumed(tmp_path):
    # 3rd noon to the end of the 4th at 20 °C: 15. The 5th at 25 °C: 15. Then 70 at 10 a day: 7 days from
    # the 6th.
    file = _write(tmp_path, "date,min,max\n2027-07-05,25,25\n")
    assert _predict("2027-07-03", **file, constant=20.0).median == datetime(2027, 7, 13)


def test_without_a_stated_temperature_the_last_seven_days_go_on(tmp_path):
    # Six days at 25 °C, then seven at 20 °C of which the last alone would say 20: 10 a day goes on. From
    # noon of the 16th (measured until its end) 100 at 10 a day.
    rows = "".join(f"2027-07-{day:02},{t},{t}\n" for day, t in enumerate([25] * 6 + [20] * 7, start=4))
    file = _write(tmp_path, "date,min,max\n" + rows)
    assert _predict("2027-07-16", **file, constant=None).median == datetime(2027, 7, 26, 12)


def test_one_warm_week_then_cold_for_good_gives_no_date(tmp_path):
    rows = "".join(f"2027-07-0{day},20,20\n" for day in range(3, 9))
    season = _season(**_write(tmp_path, "date,min,max\n" + rows), constant=8.0)
    assert predict(season, _pupa("2027-07-03")) is None


def test_a_cold_spell_stops_development_and_does_not_undo_it(tmp_path):
    # Noon of the 3rd: 5 that day, nothing on the 4th and 5th, then 95 at 10 a day from the 6th: noon of the
    # 15th.
    file = _write(tmp_path, "date,min,max\n2027-07-03,20,20\n2027-07-04,0,5\n2027-07-05,0,5\n")
    assert _predict("2027-07-03", **file, constant=20.0).median == datetime(2027, 7, 15, 12)


def test_pupating_on_a_day_too_cold_to_develop_the_hour_does_not_matter(tmp_path):
    file = _write(tmp_path, "date,min,max\n2027-07-03,0,5\n")
    assert _predict("2027-07-03", **file, constant=20.0).sd == pytest.approx(1.0, abs=1e-6)


def test_a_hot_afternoon_is_no_warning_but_a_day_hot_throughout_is(tmp_path):
    warning = "above 30 °C development slows and pupae suffer: no reliable date"
    afternoon = _write(tmp_path, "date,min,max\n2027-07-05,18,36\n")
    assert _predict("2027-07-03", **afternoon).note == ""
    throughout = _write(tmp_path, "date,min,max\n2027-07-05,28,36\n")  # mean 32
    assert _predict("2027-07-03", **throughout).note == warning
    assert _predict("2027-07-05", **throughout).note == warning  # on that very day
    assert _predict("2027-07-06", **throughout).note == ""  # after it


def test_a_logger_of_the_same_temperature_gives_the_same_date_as_daily_extremes(tmp_path):
    hours = [datetime(2027, 7, 3) + timedelta(hours=h) for h in range(24 * 5 + 1)]
    logger = _write(tmp_path, "time,temperature\n" + "".join(f"{h:%Y-%m-%dT%H:%M},25\n" for h in hours))
    by_logger = _predict("2027-07-04", **logger)
    rows = "".join(f"2027-07-0{day},25,25\n" for day in range(3, 8))
    by_day = _predict("2027-07-04", **_write(tmp_path, "date,min,max\n" + rows))
    assert abs(by_logger.median - by_day.median) < timedelta(milliseconds=1)


def test_ten_thousand_pupae_through_a_year_of_hours_take_less_than_two_seconds(tmp_path):
    hours = [datetime(2027, 1, 1) + timedelta(hours=h) for h in range(24 * 365)]
    temps = [20 + 8 * math.sin(2 * math.pi * (h.hour - 9) / 24) for h in hours]
    rows = "".join(f"{h:%Y-%m-%dT%H:%M},{t:.1f}\n" for h, t in zip(hours, temps, strict=True))
    season = _season(**_write(tmp_path, "time,temperature\n" + rows))
    pupae = [_pupa(f"2027-{1 + i % 11:02}-{1 + i % 28:02}") for i in range(10_000)]
    begun = time.process_time()
    dues = predict_all(season, pupae)
    assert time.process_time() - begun < 2
    assert all(due is not None for due in dues)
