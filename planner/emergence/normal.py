"""The standard normal distribution function for arrays, without scipy."""

from __future__ import annotations

import math

import numpy as np

from planner.emergence.degree_days import Floats

_STEP = 1 / 128
_FAR = 9.0  # standard deviations; the tail beyond is below 2e-19
_KNOTS = np.arange(-_FAR, _FAR + 2 * _STEP, _STEP)
_CDF = np.array([math.erfc(-x / math.sqrt(2)) / 2 for x in _KNOTS.tolist()])
_SLOPE = np.exp(-(_KNOTS**2) / 2) / math.sqrt(2 * math.pi) * _STEP


def normal_cdf(x: Floats) -> Floats:
    """The standard normal distribution function, with an absolute error below 1e-10.

    Parameters
    ----------
    x : ndarray
        Of any shape.

    Returns
    -------
    ndarray
        Chances, 0 to 1, of the shape of ``x``.

    Notes
    -----
    Cubic Hermite interpolation between exact values with exact slopes. Its error is at most step⁴/384 times
    the greatest fourth derivative (1.4), which is 1.4e-11.
    """
    place = (np.clip(x, -_FAR, _FAR) + _FAR) / _STEP
    i = place.astype(np.intp)
    t = place - i
    a, b, da, db = _CDF[i], _CDF[i + 1], _SLOPE[i], _SLOPE[i + 1]
    return np.asarray(a + t * (da + t * (3 * (b - a) - 2 * da - db + t * (2 * (a - b) + da + db))))
