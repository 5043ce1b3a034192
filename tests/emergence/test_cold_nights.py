"""Development that comes to stand still in the cold: who may be ready is dated, and not to be touched.

Own species: 100 degree-days above 10 °C, spread 0.1; at 20 °C 10 a day. The earliest 5 % of one whose hour is
known need 100 - 16.45 = 83.55 degree-days, and may be darkening a day earlier, at 73.55.
"""

from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
from as_read import as_read
from emergence_world import at, easy_season, pupa

from planner.emergence import emergence, forecasts, predict
from planner.emergence.climate import sum_sd
from planner.emergence.conditional import COMMON, WEIGHT


def then_cold(folder, days, cold=5.0, pupated="2027-07-01T00:00", name="p"):
    """So many days at 20 °C from 1 July on, then always ``cold``."""
    first = datetime(2027, 7, 1)
    rows = [f"{(first + timedelta(days=k)).date()},20,20" for k in range(days)]
    (folder / "temperatures.csv").write_text("date,min,max\n" + "\n".join(rows) + "\n")
    found = easy_season([pupa(name, pupated)], folder, celsius=cold)
    return as_read(replace(found, temperature_file="temperatures.csv"))


def state(season, on):
    return forecasts(season, at(on))["p"]


def test_the_median_dates_a_pupa_whose_tail_is_never_reached(tmp_path):
    # 100 after 10 days; 105 after 10.5 and never more.
    season = then_cold(tmp_path, 11)
    due = predict(season, season.pupae[0])
    assert due.median == at("2027-07-11T00:00")
    assert due.note == "it is too cold for the last of them to emerge: no latest date"
    assert due.high == at("2028-07-01T00:00")  # a year: nothing is said beyond


def test_one_past_its_requirement_is_not_to_be_touched_however_cold_it_is(tmp_path):
    one = state(then_cold(tmp_path, 11), "2027-07-20")
    assert (one.stage, one.why) == ("darkening", "may be darkening, due Sun 11 Jul")


def test_one_that_may_be_darkening_has_no_date_but_is_not_to_be_touched(tmp_path):
    # 80 of 100: none of the earliest 5 % is ready, but from 73.55 on they may be darkening.
    season = then_cold(tmp_path, 8)
    one = state(season, "2027-07-08T12:00")
    assert one.due is None
    assert one.dark_from.replace(second=0, microsecond=0) == at("2027-07-08T08:31")  # 7.355 days
    assert (one.stage, one.why) == ("darkening", "may be darkening, too cold to say when it is due")
    assert state(season, "2027-07-08T08:00").movable


def test_one_that_stands_still_long_before_it_darkens_may_be_moved(tmp_path):
    one = state(then_cold(tmp_path, 7), "2027-08-20")  # 70 of 100
    assert one.movable
    assert one.due is None


def test_one_that_goes_on_very_slowly_when_half_are_ready_is_not_to_be_touched(tmp_path):
    # 90 of 100 by 10 July, then 0.1 degree-days a day: the median is 100 days off, but 1 in 6 is ready.
    season = then_cold(tmp_path, 9, cold=10.1)
    one = state(season, "2027-07-12")
    assert one.due.day > at("2027-09-01").date()
    assert one.stage == "darkening"


def test_at_a_constant_temperature_darkening_is_a_day_before_the_median_as_ever():
    one = state(easy_season([pupa("p", "2027-07-01T00:00")]), "2027-07-05")
    assert one.dark_from == at("2027-07-10T00:00")


def test_what_is_not_reached_within_a_year_is_chance_of_not_emerging(tmp_path):
    # 85 gathered: z = -1.5, so 6.7 % are ready, less 1 % strays; the rest is not within the horizon.
    season = then_cold(tmp_path, 8)
    text = (tmp_path / "temperatures.csv").read_text() + "2027-07-09,15,15\n"
    (tmp_path / "temperatures.csv").write_text(text)
    season = as_read(season)
    one = emergence(season, season.pupae[0])
    assert 1 - one.never == pytest.approx(0.99 * 0.0668, abs=0.001)


def test_conditional_chances_are_those_of_a_million_pupae_drawn_from_the_same_distribution():
    season = easy_season([pupa("p", "2027-07-01T00:00")])
    random, n = np.random.default_rng(7), 400_000
    common = random.choice(COMMON, n, p=WEIGHT)
    # What all share is the season's third of the spread and the weather in the room, 3.3 degree-days in 10
    # days.
    shared = common * np.hypot(10 * np.sqrt(0.33), sum_sd(10))
    need = 100 + shared + 10 * np.sqrt(0.67) * random.standard_normal(n)
    clock = need / 10  # days from 1 July 00:00
    out = np.floor(clock) + (6 + 6 * (clock % 1)) / 24
    for hour in (0, 8, 11, 22):
        now = 9 + hour / 24
        still = np.concatenate([out[out > now], np.full(int(n * 0.01 / 0.99), np.inf)])
        chances = emergence(season, season.pupae[0], at(f"2027-07-10T{hour:02}:00")).chances(
            [at("2027-07-10").date(), at("2027-07-11").date()]
        )
        drawn = [((still >= d) & (still < d + 1)).mean() for d in (9, 10)]
        assert list(chances.values()) == pytest.approx(drawn, abs=0.004)  # 4 sd of 400,000 draws
