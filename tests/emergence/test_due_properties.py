from datetime import date, time, timedelta
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from planner.emergence import known_species, predict, shipped
from planner.emergence.degree_days import single_sine
from planner.emergence.measured_curve import MeasuredCurve
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

species = st.sampled_from(known_species())
temperatures = st.floats(13, 40)
moments = st.builds(
    When,
    st.dates(date(2027, 3, 1), date(2027, 10, 31)),
    st.none() | st.builds(time, st.integers(0, 23), st.integers(0, 59)),
)


def _due(name, when, celsius):
    season = Season(folder=Path(), name="test", constant=celsius)
    return predict(season, Pupa(id="p", species=name, pupated=when, place="lid"))


@given(species, moments, moments, temperatures)
def test_who_pupated_later_is_never_due_earlier(name, one, other, celsius):
    first, second = sorted([one, other], key=lambda when: when.middle)
    a, b = _due(name, first, celsius), _due(name, second, celsius)
    assert a is not None
    assert b is not None
    assert a.median <= b.median
    # And by exactly as much: the same temperatures act on both.
    apart = (b.median - a.median) - (second.middle - first.middle)
    assert abs(apart) < timedelta(milliseconds=1)


@given(species, moments, temperatures, temperatures)
def test_warmth_never_makes_it_later_up_to_the_upper_threshold(name, when, one, other):
    upper = shipped()[name].upper
    cold, warm = sorted([min(one, upper), min(other, upper)])
    a, b = _due(name, when, cold), _due(name, when, warm)
    assert a is not None
    assert b is not None
    assert b.median <= a.median + timedelta(milliseconds=1)


@given(species, moments, temperatures)
def test_the_median_lies_within_the_interval_and_after_pupation(name, when, celsius):
    due = _due(name, when, celsius)
    assert due is not None
    assert when.middle < due.low < due.median < due.high
    assert due.sd > 0


@given(
    st.lists(st.tuples(st.floats(-10, 40), st.floats(0, 25)), min_size=1, max_size=30),
    st.just(0.0) | st.floats(0.01, 20),
    st.lists(st.floats(0, 40), min_size=1, max_size=10),
)
def test_a_total_is_first_reached_when_the_curve_says(days, rate, waits):
    lows = np.array([low for low, _ in days])
    swings = np.array([swing for _, swing in days])
    total = np.concatenate([[0.0], np.cumsum(single_sine(lows, lows + swings, 11.5, 33))])
    curve = MeasuredCurve(np.arange(len(total), dtype=float), total, rate)
    wanted = curve.at(np.array(waits))
    found = curve.when(wanted)
    # Where development stands still, the same total lasts: the first moment of it is found.
    assert np.all(found <= np.array(waits) + 1e-6)
    np.testing.assert_allclose(curve.at(found), wanted, atol=1e-6)
