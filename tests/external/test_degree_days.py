"""Degree-days against published tables, and against plain numerical integration."""

import numpy as np
import pytest
from scipy.integrate import simpson

from planner.emergence.degree_days import logger_sum, ramp, single_sine

# Zalom, Goodell, Wilson, Barnett, Bentley, Degree-days: the calculation and use of heat units in pest
# management, University of California, Leaflet 21373 (1983), table 7: thresholds 55 and 90 °F, horizontal
# cutoff, column "single sine". The table's one known misprint (double triangle, 60/100/75, prints 24.88 for
# 27.125) is in a column not used here.
LEAFLET_21373 = [
    ("above both", 96, 110, 35.00),
    ("above both", 91, 105, 35.00),
    ("below both", 45, 54, 0.00),
    ("below both", 38, 50, 0.00),
    ("between", 60, 80, 15.00),
    ("between", 75, 88, 26.50),
    ("across lower", 50, 82, 11.85),
    ("across lower", 45, 70, 5.31),
    ("across upper", 60, 100, 22.82),
    ("across upper", 75, 95, 28.91),
    ("across both", 50, 101, 18.95),
    ("across both", 48, 95, 16.96),
]


@pytest.mark.parametrize(("case", "low", "high", "printed"), LEAFLET_21373)
def test_single_sine_gives_the_table_of_1983(case, low, high, printed):
    # Printed to 0.01; 16.965 is printed as 16.96, so half a unit and a little is needed.
    assert single_sine(low, high, 55, 90) == pytest.approx(printed, abs=0.006), case


@pytest.mark.parametrize(
    ("low", "high", "lower", "upper", "published"),
    [
        # thresholds 12 and 33 °C: tests of a public R package, three decimals, recomputed by integration
        (7, 14, 12, 33, 0.468),
        (13, 40, 12, 33, 12.944),
        (7, 40, 12, 33, 10.940),
        # that package expects 5 here, but a day wholly above both thresholds has upper - lower = 21
        (35, 40, 12, 33, 21.000),
        # thresholds 11.5 and 33 °C (monarch): by numerical integration, three decimals
        (20, 20, 11.5, 33, 8.500),
        (18, 30, 11.5, 33, 12.500),
        (8, 22, 11.5, 33, 4.263),
        (10, 24, 11.5, 33, 5.711),
        (15, 36, 11.5, 33, 13.512),
        (5, 38, 11.5, 33, 10.411),
        (34, 40, 11.5, 33, 21.500),
        (5, 11, 11.5, 33, 0.000),
        # McMaster and Wilhelm, Agric. For. Meteorol. 87 (1997) 291-300, table 1, base 0 °C: their days that
        # are nowhere below the base, where every method gives the mean
        (10, 20, 0, 60, 15.0),
        (1, 10, 0, 60, 5.5),
        (0, 6, 0, 60, 3.0),
        (2, 15, 0, 60, 8.5),
    ],
)
def test_single_sine_gives_further_published_values(low, high, lower, upper, published):
    assert single_sine(low, high, lower, upper) == pytest.approx(published, abs=0.0006)


def _random_days(rng, case, count, lower, upper):
    """``count`` random days in one position to the thresholds, extremes within 40 °C of them."""
    ends = {
        "above both": ((upper, upper + 40), (upper, upper + 40)),
        "below both": ((lower - 40, lower), (lower - 40, lower)),
        "between": ((lower, upper), (lower, upper)),
        "across lower": ((lower - 40, lower), (lower, upper)),
        "across upper": ((lower, upper), (upper, upper + 40)),
        "across both": ((lower - 40, lower), (upper, upper + 40)),
    }[case]
    pairs = np.sort([rng.uniform(*end, count) for end in ends], axis=0)
    return pairs[0], pairs[1]


@pytest.mark.parametrize(
    "case", ["above both", "below both", "between", "across lower", "across upper", "across both"]
)
def test_single_sine_is_the_integral_over_the_wave_in_every_case(case):
    lower, upper = 11.5, 33.0
    low, high = _random_days(np.random.default_rng(1983), case, 1000, lower, upper)
    angle = np.linspace(-np.pi / 2, np.pi / 2, 4001)
    wave = (low + high)[:, None] / 2 + (high - low)[:, None] / 2 * np.sin(angle)
    by_quadrature = simpson(np.clip(wave, lower, upper) - lower, x=angle, axis=1) / np.pi
    # Step h = π/4000. Where the wave crosses a threshold Simpson's rule errs by at most about slope × h² / 3:
    # amplitudes are below 51 °C, so 51 × 6.2e-7 / 3 / π = 3e-6 each, two crossings at most.
    np.testing.assert_allclose(single_sine(low, high, lower, upper), by_quadrature, rtol=0, atol=1e-5)


def test_a_logger_sum_is_the_integral_of_the_clipped_polyline():
    rng = np.random.default_rng(15)
    lower, upper = 11.5, 33.0
    steps = rng.uniform(0.001, 0.2, 400)
    temps = np.concatenate([rng.uniform(-5, 45, 380), np.repeat(20.0, 21)])  # level at its end
    times = np.concatenate([[0.0], np.cumsum(steps)])
    share = np.linspace(0, 1, 2001)
    lines = temps[:-1, None] + np.diff(temps)[:, None] * share
    by_quadrature = simpson(np.clip(lines, lower, upper) - lower, x=share, axis=1)
    # As above: slopes up to 50 °C per stretch, h = 1/2000, two crossings: 2 × 50 × 2.5e-7 / 3 = 8e-6.
    np.testing.assert_allclose(ramp(temps[:-1], temps[1:], lower, upper), by_quadrature, rtol=0, atol=2e-5)
    # The errors differ in sign; were they all one way, 40 days × 8e-6 would still be 3e-4.
    assert logger_sum(times, temps, lower, upper) == pytest.approx(float(by_quadrature @ steps), abs=4e-4)
