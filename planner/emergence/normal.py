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
_RISE, _BEGIN, _END = np.diff(_CDF), _SLOPE[:-1], _SLOPE[1:]
# Of the cubic between each two knots, the coefficients of t⁰ to t³.
_CUBIC = (_CDF[:-1], _BEGIN, 3 * _RISE - 2 * _BEGIN - _END, _BEGIN + _END - 2 * _RISE)


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
    t = np.clip(x, -_FAR, _FAR, out=np.empty(np.shape(x)))
    t += _FAR  # in place: where arrays are large, to make new ones takes longest
    t /= _STEP
    i = t.astype(np.intp)
    t -= i
    found = np.asarray(_CUBIC[3].take(i))
    for coefficient in _CUBIC[2::-1]:
        found *= t
        found += coefficient.take(i)
    return found
