"""Own species with easy numbers: 100 degree-days above 10 °C, spread 0.1, so 10 ± 1 days at 20 °C."""

import math
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from as_read import as_read

from planner.emergence import predict, predict_all
from planner.emergence.climate import sum_sd
from planner.emergence.weather_of import weather_of
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


def _deviations(end, start, a_day, own):
    """Standard deviations by which 100 degree-days are missed or passed at ``end``, at ``a_day`` a day.

    Two things are uncertain: the pupa's requirement, by ``own``, and what the room brings in so many days.
    """
    days = (end - start) / timedelta(days=1)
    return (a_day * days - 100) / math.hypot(own, sum_sd(days))


def test_the_weather_in_a_room_departs_by_half_a_degree_for_a_few_days():
    # Anomalies of sd 0.5 with correlation 0.7 to the next day, summed over ten days in steps of 1/100 day.
    step = 0.01
    t = np.arange(0, 10, step) + step / 2
    covariance = 0.25 * 0.7 ** np.abs(t[:, None] - t)
    assert sum_sd(10) == pytest.approx(np.sqrt(covariance.sum()) * step, rel=1e-3)
    assert sum_sd(10) == pytest.approx(3.2, abs=0.1)


def test_an_exact_hour_leaves_only_the_spread_of_the_species_and_the_weather_in_the_room():
    due, start = _predict("2027-07-03T12:00"), datetime(2027, 7, 3, 12)
    assert due.median == datetime(2027, 7, 13, 12)
    assert _deviations(due.low, start, 10, 10) == pytest.approx(-Z, abs=1e-6)
    assert _deviations(due.high, start, 10, 10) == pytest.approx(Z, abs=1e-6)
    # √(1 + 0.32²) days: the room's 3.2 degree-days are 0.32 days.
    assert due.sd == pytest.approx(1.05, abs=0.005)


def test_a_bare_date_counts_from_noon_and_adds_the_variance_of_an_even_day():
    due, noon = _predict("2027-07-03"), datetime(2027, 7, 3, 12)
    assert due.median == datetime(2027, 7, 13, 12)
    assert _deviations(due.low, noon, 10, math.sqrt(100 + 100 / 12)) == pytest.approx(-Z, abs=1e-6)
    assert _deviations(due.high, noon, 10, math.sqrt(100 + 100 / 12)) == pytest.approx(Z, abs=1e-6)


def test_the_spread_goes_with_the_duration():
    # At 15 °C: 5 degree-days a day, 20 days.
    due, start = _predict("2027-07-03T12:00", constant=15.0), datetime(2027, 7, 3, 12)
    assert _deviations(due.high, start, 5, 10) == pytest.approx(Z, abs=1e-6)
    assert due.sd == pytest.approx(math.hypot(10, sum_sd(20)) / 5, abs=0.01)


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
    # The high end is reached in weather to come, which has a spread of its own: 13.75 + 1.645 × √(10² + s²)
    # at 5 a day, with s of the sum of so many days of it.
    later = (due.high - start) / timedelta(days=1) - 5.75
    days = weather_of(_season(tmp_path, 15.0, "temperatures.csv")).sd(0)
    s = float(np.interp(later, np.arange(len(days)), days))
    assert later == pytest.approx((13.75 + Z * math.hypot(10, s)) / 5, abs=0.002)
    assert s > 0.5


def test_what_came_before_the_first_measured_day_is_assumed(tmp_path):
    # 3rd noon to the end of the 4th at 20 °C: 15. The 5th at 25 °C: 15. Then 70 at 10 a day: 7 days from
    # the 6th.
    file = _write(tmp_path, "date,min,max\n2027-07-05,25,25\n")
    assert _predict("2027-07-03", **file, constant=20.0).median == datetime(2027, 7, 13)


def test_without_a_stated_temperature_a_cool_spell_ends(tmp_path):
    # Six days at 25 °C, then seven at 20 °C. If 20 °C went on for good it would be due at noon of the 26th,
    # if
    # 25 °C came back at once on 23 July (5 of the 16th, then 95 at 15 a day).
    rows = "".join(f"2027-07-{day:02},{t},{t}\n" for day, t in enumerate([25] * 6 + [20] * 7, start=4))
    file = _write(tmp_path, "date,min,max\n" + rows)
    median = _predict("2027-07-16", **file, constant=None).median
    assert datetime(2027, 7, 23, 8) < median < datetime(2027, 7, 26, 12)


def test_without_a_stated_temperature_days_that_never_changed_go_on(tmp_path):
    days = [datetime(2027, 5, 1) + timedelta(days=k) for k in range(77)]  # to 16 July
    file = _write(tmp_path, "date,min,max\n" + "".join(f"{day.date()},20,20\n" for day in days))
    median = _predict("2027-07-16", **file, constant=None).median
    assert abs(median - datetime(2027, 7, 26, 12)) < timedelta(hours=3)


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
    by_day, by_hour = (_predict(when, **file, constant=20.0) for when in ("2027-07-03", "2027-07-03T12:00"))
    assert by_day == by_hour


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


def test_every_pupa_through_a_year_of_hours_has_a_date(tmp_path):
    hours = [datetime(2027, 1, 1) + timedelta(hours=h) for h in range(24 * 365)]
    temps = [20 + 8 * math.sin(2 * math.pi * (h.hour - 9) / 24) for h in hours]
    rows = "".join(f"{h:%Y-%m-%dT%H:%M},{t:.1f}\n" for h, t in zip(hours, temps, strict=True))
    season = _season(**_write(tmp_path, "time,temperature\n" + rows))
    pupae = [_pupa(f"2027-{1 + i % 11:02}-{1 + i % 28:02}") for i in range(1000)]
    assert all(due is not None for due in predict_all(season, pupae))
