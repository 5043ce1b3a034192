"""The weather to come: expected from days measured, the time of the year and a forecast, and how surely."""

from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from planner.emergence import assumption, climate, faults, forecast_end, predict
from planner.emergence.clock import days_from_epoch
from planner.emergence.readings import Readings
from planner.emergence.weather import weather
from planner.emergence.weather_of import in_north, weather_of
from planner.season import Season
from planner.season.forecast import ForecastDay
from planner.season.pupae import Pupa
from planner.season.reading.when import When


def measured(first, means, half=5.0):
    """Daily extremes about these means, from a day on."""
    start = days_from_epoch(datetime.combine(first, datetime.min.time()))
    return Readings.of_rows(True, [(start + k, m - half, m + half) for k, m in enumerate(means)])


def season(means, first=date(2027, 6, 1), constant=None, **more):
    rows = "".join(f"{first + timedelta(days=k)},{m - 5:.1f},{m + 5:.1f}\n" for k, m in enumerate(means))
    return Season(
        folder=Path("/nowhere"), name="porch", constant=constant, temperature_file="temperatures.csv",
        readings=b"date,min,max\n" + rows.encode(), **more,
    )  # fmt: skip


def wavering(days, sd=2.5, seed=1, mean=20.0):
    """Means of so many days about ``mean``: anomalies with persistence 0.7."""
    rng, found = np.random.default_rng(seed), [0.0]
    for _ in range(days - 1):
        found.append(0.7 * found[-1] + rng.normal(0, sd * np.sqrt(1 - 0.7**2)))
    return [mean + x for x in found]


def test_a_warm_day_lasts_into_tomorrow_and_is_nearly_over_in_a_fortnight():
    # Sixty days about 20 °C, the last 6 °C above: tomorrow keeps about 0.7 of that, the 15th day little.
    days = [*wavering(60)[:-1], 26.0]
    found = weather(measured(date(2027, 6, 1), days), None, north=True)
    usual = weather(measured(date(2027, 6, 1), [*days[:-1], 20.0]), None, north=True)
    extra = found.mean - usual.mean
    assert 0.5 * 6 < extra[0] < 0.9 * 6
    assert extra[14] < 0.2 * 6


@pytest.mark.parametrize(("first", "warmer"), [(date(2027, 4, 1), True), (date(2027, 8, 5), False)])
def test_spring_goes_on_to_summer_and_summer_to_autumn(first, warmer):
    # The same readings: what follows in the north differs from the south by the course of the year alone.
    north, south = (weather(measured(first, wavering(40)), None, one).mean for one in (True, False))
    assert bool(north[30] > south[30] + 2) is warmer
    assert bool(south[30] > north[30] + 2) is not warmer


def test_where_a_constant_is_stated_it_is_the_mean_whatever_was_measured():
    found = weather(measured(date(2027, 6, 1), wavering(30)), 18.0, north=True)
    assert found.mean == pytest.approx(18.0)
    assert found.half[0] == 0


def test_a_room_that_keeps_its_temperature_is_surer_than_a_garden():
    room = weather(measured(date(2027, 6, 1), wavering(30, sd=0.4)), 20.0, north=True)
    garden = weather(measured(date(2027, 6, 1), wavering(30, sd=3.0)), None, north=True)
    assert room.sd(0)[10] < 6  # 0.4 °C that persist: √(10 × 5.7) × 0.4 is 3.0
    assert garden.sd(0)[10] > 15  # 3 °C: 22


def test_the_sum_of_ten_days_is_as_uncertain_as_in_drawn_years():
    # Of years drawn from climates of sd 2.5 and persistence 0.7 the sum of ten days to come, after forty
    # measured, departs from what was expected by its sd told, on the average of squares.
    z = []
    for seed in range(120):
        days = wavering(50, seed=seed)
        found = weather(measured(date(2027, 6, 15), days[:40]), None, north=True)
        z.append((sum(days[40:]) - found.mean[:10].sum()) / found.sd(0)[10])
    # The drawn years have no course, so the program allows for more than there is: at most 1, and not half.
    assert 0.6 < np.sqrt(np.mean(np.square(z))) < 1.1


def test_a_forecast_is_believed_within_a_degree_or_two_and_makes_the_next_days_surer():
    days = wavering(40)
    told = tuple(ForecastDay(date(2027, 7, 11) + timedelta(days=k), 10, 16) for k in range(5))
    plain = weather(measured(date(2027, 6, 1), days), None, north=True)
    found = weather(measured(date(2027, 6, 1), days), None, north=True, forecast=told)
    # Cold days that nobody expected: with sd 2.5 and persistence 0.7 known, the covariances leave 0.31 to
    # 0.35 of the way from what was expected to what is forecast. Here both are weighed.
    left = (found.mean[:5] - 13) / (plain.mean[:5] - 13)
    assert np.all((left > 0.25) & (left < 0.36))
    assert plain.mean[:5].min() > 18
    assert found.sd(0)[5] < 0.8 * plain.sd(0)[5]
    assert found.half[2] == pytest.approx(3.0, abs=1.5)  # the forecast's own 3 °C, not the 5 °C measured


def test_a_day_measured_counts_as_measured_whatever_was_forecast():
    days = wavering(40)
    told = (ForecastDay(date(2027, 7, 9), 0, 1),)  # the last but one day of the readings
    found = weather(measured(date(2027, 6, 1), days), None, north=True, forecast=told)
    assert found.mean == pytest.approx(weather(measured(date(2027, 6, 1), days), None, north=True).mean)


@pytest.mark.parametrize(
    ("zone", "month", "north"),
    [
        ("Europe/Lisbon", 1, True),
        ("America/Chicago", 12, True),
        ("Australia/Sydney", 7, False),
        ("America/Sao_Paulo", 7, False),  # kept summer time until 2019
        ("UTC", 7, True),
        ("UTC", 12, False),
    ],
)
def test_summer_time_tells_where_july_is_warm_and_else_the_month_does(zone, month, north):
    assert in_north(zone, month) is north


def test_a_forecast_in_the_season_moves_the_date():
    pupa = Pupa(id="p", species="monarch", pupated=When(date(2027, 7, 10)), place="lid")
    told = tuple(ForecastDay(date(2027, 7, 11) + timedelta(days=k), 8, 14) for k in range(7))
    plain, cold = predict(season(wavering(40)), pupa), predict(season(wavering(40), forecast=told), pupa)
    assert cold.median > plain.median + timedelta(days=2)
    assert cold.low > plain.low


def test_the_interval_is_wider_the_less_of_the_time_is_measured():
    days, pupa = wavering(60), Pupa(id="p", species="monarch", pupated=When(date(2027, 7, 10)), place="lid")
    widths = []
    for known in (40, 47, 60):
        due = predict(season(days[:known]), pupa)
        widths.append((due.high - due.low) / timedelta(days=1))
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 1.8 * widths[-1]


def test_a_forecast_whose_days_are_over_is_said_to_be():
    told = (ForecastDay(date(2027, 7, 11), 12, 22), ForecastDay(date(2027, 7, 12), 12, 22))
    found = season(wavering(40), forecast=told)
    assert forecast_end(found, datetime(2027, 7, 12, 21)) == ""
    assert forecast_end(found, datetime(2027, 7, 13, 8)) == (
        "the forecast in season.yaml ends on Mon 12 Jul, and is over: write the next days there"
    )
    assert assumption(found).startswith(
        "measured from Tue 1 Jun to Sat 10 Jul (temperatures.csv), forecast to Mon 12 Jul (season.yaml); "
    )


@pytest.mark.parametrize(
    ("table", "line"),
    [
        (None, "forecast.csv: this file is not there"),
        (b"date,min,max\n2027-07-11,12\n", "forecast.csv:2"),
        (
            b"time,temperature\n2027-07-11T00:00,12\n2027-07-11T04:00,12\n",
            "forecast.csv: a forecast has one row a day: date, min, max",
        ),
        (
            b"date,min,max\n"
            + b"".join(b"2027-%02d-%02d,12,22\n" % (m, d) for m in (8, 9, 10) for d in range(1, 22)),
            "forecast.csv: has 63 days: at most 60 are allowed, the next ones",
        ),
    ],
)
def test_a_faulty_forecast_file_is_told_with_the_others(table, line):
    found = faults(season(wavering(40), forecast_file="forecast.csv", forecast_table=table))
    assert len(found) == 1
    assert str(found[0]).startswith(line)


def test_nothing_measured_nothing_expected():
    assert weather_of(Season(folder=Path("/nowhere"), name="room")) is None


def test_the_persistence_is_that_of_the_published_generator_of_daily_extremes():
    # Richardson and Wright, WGEN, USDA-ARS 8 (1984): residuals of maximum, minimum and radiation follow
    # x' = A x + B e. Their covariance solves M = A M A' + B B'; of the mean of maximum and minimum, of equal
    # widths, the correlation of two days in a row is (w A M w) / (w M w), w = (1, 1, 0): 0.705.
    a = np.array([[0.567, 0.086, -0.002], [0.253, 0.504, -0.050], [-0.006, -0.039, 0.244]])
    b = np.array([[0.781, 0, 0], [0.328, 0.637, 0], [0.238, -0.341, 0.873]])
    m = np.eye(3)
    for _ in range(200):
        m = a @ m @ a.T + b @ b.T
    w = np.array([1, 1, 0])
    assert np.diag(m) == pytest.approx([1, 1, 1], abs=1e-3)
    assert w @ a @ m @ w / (w @ m @ w) == pytest.approx(0.705, abs=5e-4)
    assert abs(climate.PERSISTENCE - 0.705) < 0.01
    assert np.mean(climate.PERSISTENCES) == pytest.approx(climate.PERSISTENCE, abs=0.03)
