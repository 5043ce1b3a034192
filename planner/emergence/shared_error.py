"""Emergence given the error that pupae share: those of one season, and those of one pupation day.

The rows of each array belong to the Gauss-Hermite nodes COMMON of that error, in its standard deviations;
weighted by WEIGHT their mean is the distribution without it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.emergence.degree_days import Floats
from planner.emergence.normal import normal_cdf
from planner.emergence.profiles import Profile

_Z, _W = np.polynomial.hermite_e.hermegauss(15)
COMMON, WEIGHT = _Z, _W / _W.sum()


def given(
    profile: Profile, start: Sequence[float], weight: Sequence[float], edges: Sequence[float], common: float
) -> Floats:
    """Chance of each hour given each value of a shared error, shape (len(WEIGHT), hours).

    Given the standardised shared error z, the requirement is normal with mean K (1 + c z): K is the profile's
    requirement, c² = ``common`` the shared part of the spread's square, and the remaining part the variance,
    relative to K².

    Parameters
    ----------
    start, weight
        Degree-days at each possible time of pupation, and how likely that is.
    edges
        Degree-days at the ends of the hours.
    """
    needed = (np.array(edges) - np.array(start)[:, None]) / profile.requirement - 1  # pupations × edges
    own = profile.spread * np.sqrt(1 - common)
    error = profile.spread * np.sqrt(common) * COMMON[:, None, None]
    reached = np.einsum("h,zht->zt", np.array(weight), normal_cdf((needed - error) / own))
    reached[:, 0] = 0  # the small chance before is added to the first hour
    return np.asarray(np.diff(reached))


def observed(given: Floats, skipped: int, factor: Sequence[float], added: Sequence[float]) -> Floats:
    """The same once something was observed: hours from the ``skipped``-th on, ``factor`` * p + ``added``."""
    count, before = len(factor), max(0, -skipped)
    part = given[:, max(0, skipped) : max(0, skipped + count)]
    whole = np.pad(part, ((0, 0), (before, max(0, count - before - part.shape[1]))))[:, :count]
    return np.asarray(whole * np.array(factor) + np.array(added))
