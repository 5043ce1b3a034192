"""The course of the day as a log shows it, by which readings hours apart are joined."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from planner.emergence.degree_days import Floats

WINDOW = 7  # days before and after a day from which its course is taken: sunny and dull weeks differ
# A reading departs from its day's mean and wave by about 1 °C, and half the range of a day outdoors is about
# 5 °C. Guesses. Their ratio squared is the ridge of the fit: it counts where readings tell next to nothing.
RIDGE = (1.0 / 5.0) ** 2
FILLED = 1 / 24  # days; at most so far apart are the moments at which a course is drawn


def filled(time: Floats, temp: Floats, which: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Readings, and in the steps of a mask between two of them the course of the day through both.

    The course is a wave of 24 h, fitted to the readings of the days about it by least squares, each day with
    a level of its own; what the two readings depart from the wave is joined by a straight line. Readings at
    two hours of the day tell a wave only in part: then it is the smallest one.

    Parameters
    ----------
    time, temp : ndarray, shape (n,)
        Days from EPOCH, ascending, and °C.
    which : ndarray of bool, shape (n - 1,)
        The steps to be filled.

    Returns
    -------
    time, temp : ndarray, shape (m,)
    """
    if not which.any():
        return time, temp
    step = np.diff(time)
    parts = np.where(which, np.ceil(step / FILLED), 1).astype(int)
    i = np.repeat(np.arange(len(step)), parts)  # the reading before each moment
    share = (np.arange(len(i)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[i]
    at = time[i] + share * step[i]
    amplitudes = _amplitudes(time, temp)[:, i]
    before, after, here = ((amplitudes * _waves(each)).sum(0) for each in (time[i], time[i + 1], at))
    off = (1 - share) * (temp[i] - before) + share * (temp[i + 1] - after)
    return np.append(at, time[-1]), np.append(off + here, temp[-1])


def _waves(time: Floats) -> Floats:
    """Cosine and sine of the hour of the day; shape (2, n)."""
    angle = 2 * math.pi * time
    return np.array([np.cos(angle), np.sin(angle)])


def _amplitudes(time: Floats, temp: Floats) -> Floats:
    """Amplitudes of cosine and sine about each reading, °C; shape (2, n)."""
    day = (np.floor(time) - np.floor(time[0])).astype(int)
    count = np.bincount(day)

    def about(values: Floats) -> Floats:
        """Values less the mean of their day."""
        return np.asarray(values - (np.bincount(day, values) / np.maximum(count, 1))[day])

    def window(values: Floats) -> Floats:
        """Sums over the days of the window about each day."""
        total = np.concatenate([np.zeros(1), np.cumsum(np.bincount(day, values))])
        days = np.arange(len(count))
        return np.asarray(
            total[np.minimum(days + WINDOW + 1, len(count))] - total[np.maximum(days - WINDOW, 0)]
        )

    (c, s), y = (about(wave) for wave in _waves(time)), about(temp)
    cc, cs, ss, cy, sy = (window(each) for each in (c * c, c * s, s * s, c * y, s * y))
    cc, ss = cc + RIDGE, ss + RIDGE
    return np.asarray(np.array([ss * cy - cs * sy, cc * sy - cs * cy]) / (cc * ss - cs * cs))[:, day]
