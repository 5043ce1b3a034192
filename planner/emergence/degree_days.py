"""Degree-days: how far development gets, given the temperature. Closed forms, for whole arrays at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def single_sine(tmin: ArrayLike, tmax: ArrayLike, lower: float, upper: float) -> Floats:
    """Degree-days of each day whose temperature is one sine wave between its minimum and maximum.

    Parameters
    ----------
    tmin, tmax : array_like, °C (or °F, if all four are)
        Daily extremes, of one shape. NaN gives NaN.
    lower, upper : float
        Thresholds; above ``upper`` development goes on as at ``upper`` (horizontal cutoff).

    Returns
    -------
    ndarray, degree-days, of the same shape.

    Raises
    ------
    ValueError
        A minimum above its maximum, or ``lower`` not below ``upper``.

    Notes
    -----
    With mean m and amplitude A the wave m + A sin t crosses the thresholds at t1 and t2. The day holds
    ``[(m - L)(t2 - t1) + A (cos t1 - cos t2) + (U - L)(π/2 - t2)] / π``. With t1 and t2 held within ±π/2 this
    one expression is right for all six positions of the wave to the thresholds.

    References
    ----------
    Baskerville, Emin, Ecology 50 (1969) 514-517; Allen, Environ. Entomol. 5 (1976) 388-396.
    """
    low, high = np.asarray(tmin, dtype=float), np.asarray(tmax, dtype=float)
    _check_thresholds(lower, upper)
    if np.any(low > high):
        raise ValueError(f"day {int(np.argmax(low > high))}: the minimum is above the maximum")
    mean = (low + high) / 2
    amplitude = (high - low) / 2
    divisor = np.maximum(amplitude, 1e-300)  # a day without a swing: any crossing is at one of the ends
    t1 = np.arcsin(np.clip((lower - mean) / divisor, -1, 1))
    t2 = np.arcsin(np.clip((upper - mean) / divisor, -1, 1))
    rising = (mean - lower) * (t2 - t1) + amplitude * (np.cos(t1) - np.cos(t2))
    # Rounding can leave a cold day a hair below nothing; sums of days must never fall.
    return np.asarray(np.maximum((rising + (upper - lower) * (np.pi / 2 - t2)) / np.pi, 0))


def ramp(first: ArrayLike, last: ArrayLike, lower: float, upper: float) -> Floats:
    """Mean degree-days per day while the temperature goes straight from ``first`` to ``last``.

    With F the integral of min(max(T, L), U) - L over T, the mean over the stretch is
    (F(last) - F(first)) / (last - first): the cutoffs are exact. Arrays of one shape, °C.
    """
    a, b = np.asarray(first, dtype=float), np.asarray(last, dtype=float)
    _check_thresholds(lower, upper)
    step = b - a
    level = np.abs(step) < 1e-6  # the quotient would be rounding noise; the middle is right to 1e-6
    quotient = (_above(b, lower, upper) - _above(a, lower, upper)) / np.where(level, 1.0, step)
    return np.asarray(np.where(level, np.clip((a + b) / 2, lower, upper) - lower, quotient))


def _above(temperature: Floats, lower: float, upper: float) -> Floats:
    """Integral over T of min(max(T, L), U) - L."""
    within = np.clip(temperature, lower, upper) - lower
    beyond = np.maximum(temperature - upper, 0)
    return np.asarray(within**2 / 2 + (upper - lower) * beyond)


def logger_sum(times: ArrayLike, temps: ArrayLike, lower: float, upper: float) -> float:
    """Degree-days of a logger's readings, straight lines between them.

    ``times``: days (any origin), in order, at any intervals; ``temps``: °C, as many. Raises ValueError where
    a time lies before the one before it.
    """
    t, temp = np.asarray(times, dtype=float), np.asarray(temps, dtype=float)
    steps = np.diff(t)
    if np.any(steps < 0):
        raise ValueError(f"reading {int(np.argmax(steps < 0)) + 1} is earlier than the one before it")
    return float(np.sum(ramp(temp[:-1], temp[1:], lower, upper) * steps))


def fahrenheit_to_celsius(fahrenheit: ArrayLike) -> Floats:
    """°F to °C, for temperatures (not for differences)."""
    return np.asarray((np.asarray(fahrenheit, dtype=float) - 32) * 5 / 9)


def _check_thresholds(lower: float, upper: float) -> None:
    if not lower < upper:
        raise ValueError(f"lower threshold {lower:g} must be below the upper one, {upper:g}")
