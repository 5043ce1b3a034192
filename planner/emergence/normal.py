"""The standard normal distribution for whole arrays, without scipy at run time."""

from __future__ import annotations

import math

import numpy as np

from planner.emergence.degree_days import Floats

_STEP = 1 / 128
_FAR = 9.0  # beyond this the tail is below 2e-19
_KNOTS = np.arange(-_FAR, _FAR + 2 * _STEP, _STEP)
_CDF = np.array([math.erfc(-x / math.sqrt(2)) / 2 for x in _KNOTS.tolist()])
_SLOPE = np.exp(-(_KNOTS**2) / 2) / math.sqrt(2 * math.pi) * _STEP


def normal_cdf(x: Floats) -> Floats:
    """Chance that a standard normal value is at most x, to 1e-10.

    Cubic Hermite interpolation between exact values and their exact slopes: its error is at most
    step⁴/384 times the fourth derivative (1.4 at most), 1.4e-11.
    """
    place = (np.clip(x, -_FAR, _FAR) + _FAR) / _STEP
    i = place.astype(np.intp)
    t = place - i
    a, b, da, db = _CDF[i], _CDF[i + 1], _SLOPE[i], _SLOPE[i + 1]
    return np.asarray(a + t * (da + t * (3 * (b - a) - 2 * da - db + t * (2 * (a - b) + da + db))))
