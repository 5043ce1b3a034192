import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.emergence.normal import normal_cdf


@given(st.lists(st.floats(-60, 60), min_size=1, max_size=50))
def test_it_is_the_normal_distribution_to_ten_places(values):
    exact = [NormalDist().cdf(x) for x in values]
    np.testing.assert_allclose(normal_cdf(np.array(values)), exact, atol=1e-10)


def test_far_tails_are_small_and_right_to_a_thousandth():
    assert normal_cdf(np.array([-6.0]))[0] == pytest.approx(math.erfc(6 / math.sqrt(2)) / 2, rel=1e-3)


@given(st.floats(-20, 20), st.floats(0, 1))
def test_it_never_falls(x, step):
    low, high = normal_cdf(np.array([x, x + step]))
    assert high >= low - 1e-15
