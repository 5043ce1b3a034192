"""Degree-days of a temperature record, by closed formulas over whole arrays."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def single_sine(tmin: ArrayLike, tmax: ArrayLike, lower: float, upper: float, fall: float = 0.0) -> Floats:
    """Degree-days of each day by the single-sine method, with a horizontal cutoff unless ``fall`` is given.

    The temperature of a day is taken as one sine wave between its minimum and its maximum.

    Parameters
    ----------
    tmin, tmax : array_like
        Daily minimum and maximum, °C (or °F, if the thresholds are in °F too), of one shape. NaN gives NaN.
    lower, upper : float
        Thresholds, in the same unit. Above ``upper`` development goes on as at ``upper``.
    fall : float
        Degree-days lost per day and degree above ``upper``: 0 is the horizontal cutoff, 1 the intermediate
        one, by which development slows above ``upper`` as it quickened below it.

    Returns
    -------
    ndarray
        Degree-days, of the shape of ``tmin``; 0 where more would be lost than gathered.

    Raises
    ------
    ValueError
        A minimum above its maximum, or ``lower`` not below ``upper``.

    Notes
    -----
    With mean m and amplitude A the wave m + A sin t crosses the thresholds at t1 and t2. The day has ``[(m -
    L)(t2 - t1) + A (cos t1 - cos t2) + (U - L)(π/2 - t2)] / π`` degree-days. With t1 and t2 clipped to ±π/2
    this one expression covers all six positions of the wave relative to the thresholds. Above U it has
    ``[(m - U)(π/2 - t2) + A cos t2] / π``.

    References
    ----------
    Baskerville, Emin, Ecology 50 (1969) 514-517; Allen, Environ. Entomol. 5 (1976) 388-396,
    doi 10.1093/ee/5.3.388; cutoffs: Zalom et al., Univ. California Leaflet 21373 (1983).
    """
    low, high = np.asarray(tmin, dtype=float), np.asarray(tmax, dtype=float)
    _check_thresholds(lower, upper)
    if np.any(low > high):
        raise ValueError(f"day {int(np.argmax(low > high))}: the minimum is above the maximum")
    mean = (low + high) / 2
    amplitude = (high - low) / 2
    divisor = np.maximum(amplitude, 1e-300)  # no division by 0 on a day of constant temperature
    t1 = np.arcsin(np.clip((lower - mean) / divisor, -1, 1))
    t2 = np.arcsin(np.clip((upper - mean) / divisor, -1, 1))
    rising = (mean - lower) * (t2 - t1) + amplitude * (np.cos(t1) - np.cos(t2))
    above = fall * ((mean - upper) * (np.pi / 2 - t2) + amplitude * np.cos(t2)) if fall else 0.0
    # Rounding can make a cold day slightly negative; cumulative sums must not decrease.
    return np.asarray(np.maximum((rising + (upper - lower) * (np.pi / 2 - t2) - above) / np.pi, 0))


def ramp(first: ArrayLike, last: ArrayLike, lower: float, upper: float, fall: float = 0.0) -> Floats:
    """Mean degree-days per day while the temperature changes linearly from ``first`` to ``last``.

    Parameters
    ----------
    first, last : array_like
        Temperatures at both ends of each stretch, °C, of one shape.
    lower, upper, fall : float
        Thresholds, °C, and what is lost above the upper one, as in ``single_sine``.

    Returns
    -------
    ndarray
        Degree-days per day, of the shape of ``first``.

    Raises
    ------
    ValueError
        ``lower`` is not below ``upper``.

    Notes
    -----
    With F the integral of min(max(T, L), U) - L over T, the mean over the stretch is
    (F(last) - F(first)) / (last - first), exact for both thresholds.
    """
    a, b = np.asarray(first, dtype=float), np.asarray(last, dtype=float)
    _check_thresholds(lower, upper)
    step = b - a
    level = np.abs(step) < 1e-6  # the quotient would be rounding error; the midpoint is right to 1e-6
    quotient = (_above(b, lower, upper, fall) - _above(a, lower, upper, fall)) / np.where(level, 1.0, step)
    middle = (a + b) / 2
    steady = np.clip(middle, lower, upper) - lower - fall * np.maximum(middle - upper, 0)
    return np.asarray(np.maximum(np.where(level, steady, quotient), 0))


def _above(temperature: Floats, lower: float, upper: float, fall: float) -> Floats:
    """Integral of min(max(T, L), U) - L - fall (T - U) over T, from L to ``temperature``; 0 below L."""
    within = np.clip(temperature, lower, upper) - lower
    beyond = np.maximum(temperature - upper, 0)
    return np.asarray(within**2 / 2 + (upper - lower) * beyond - fall * beyond**2 / 2)


def logger_sum(times: ArrayLike, temps: ArrayLike, lower: float, upper: float) -> float:
    """Degree-days of a logger's readings, interpolated linearly.

    Parameters
    ----------
    times : array_like
        Times of the readings, days from any origin, ascending, at any intervals.
    temps : array_like
        Temperatures, °C, as many.
    lower, upper : float
        Thresholds, °C, with a horizontal cutoff.

    Returns
    -------
    float
        Degree-days.

    Raises
    ------
    ValueError
        A time is earlier than the one before it, or ``lower`` is not below ``upper``.
    """
    t, temp = np.asarray(times, dtype=float), np.asarray(temps, dtype=float)
    steps = np.diff(t)
    if np.any(steps < 0):
        raise ValueError(f"reading {int(np.argmax(steps < 0)) + 1} is earlier than the one before it")
    return float(np.sum(ramp(temp[:-1], temp[1:], lower, upper) * steps))


def _check_thresholds(lower: float, upper: float) -> None:
    if not lower < upper:
        raise ValueError(f"lower threshold {lower:g} must be below the upper one, {upper:g}")
