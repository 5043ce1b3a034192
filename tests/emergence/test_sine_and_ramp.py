import numpy as np
import pytest

from planner.emergence.degree_days import logger_sum, ramp, single_sine
from planner.season.reading.scalars import from_fahrenheit


def test_many_days_are_reckoned_at_once_in_their_own_shape():
    # Wholly between the thresholds: mean - lower.
    days = single_sine([[12, 14], [16, 18]], [[20, 20], [20, 20]], 10, 30)
    np.testing.assert_allclose(days, [[6, 7], [8, 9]])


@pytest.mark.parametrize(("temperature", "expected"), [(5, 0), (10, 0), (20, 10), (30, 20), (40, 20)])
def test_a_day_without_a_swing_counts_its_temperature(temperature, expected):
    assert single_sine(temperature, temperature, 10, 30) == pytest.approx(expected)
    assert ramp(temperature, temperature, 10, 30) == pytest.approx(expected)


def test_fahrenheit_degree_days_are_nine_fifths_of_celsius_ones():
    fahrenheit = single_sine(50, 101, 55, 90)
    low, high, lower, upper = map(from_fahrenheit, [50, 101, 55, 90])
    assert fahrenheit == pytest.approx(single_sine(low, high, lower, upper) * 9 / 5)


def test_fahrenheit_becomes_celsius():
    np.testing.assert_allclose([from_fahrenheit(f) for f in (32, 212, -40)], [0, 100, -40])


def test_a_ramp_is_cut_off_at_both_thresholds():
    # 0 to 40 °C through 10 and 30: a quarter nothing, half rising from 0 to 20 (mean 10), a quarter 20.
    assert ramp(0, 40, 10, 30) == pytest.approx(0 + 5 + 5)
    assert ramp(40, 0, 10, 30) == pytest.approx(10)


def test_a_logger_may_read_at_any_intervals():
    # Half a day from 10 to 20 °C (mean 5), two days at 20 °C.
    assert logger_sum([0, 0.5, 1.0, 2.5], [10, 20, 20, 20], 10, 30) == pytest.approx(0.5 * 5 + 2 * 10)


def test_a_single_reading_has_no_degree_days():
    assert logger_sum([0], [25], 10, 30) == 0


def test_a_minimum_above_its_maximum_is_refused():
    with pytest.raises(ValueError, match=r"^day 1: the minimum is above the maximum$"):
        single_sine([10, 21], [20, 20], 10, 30)


def test_thresholds_the_wrong_way_round_are_refused():
    with pytest.raises(ValueError, match=r"^lower threshold 30 must be below the upper one, 10$"):
        single_sine(10, 20, 30, 10)


def test_readings_out_of_order_are_refused():
    with pytest.raises(ValueError, match=r"^reading 2 is earlier than the one before it$"):
        logger_sum([0, 2, 1], [20, 20, 20], 10, 30)
