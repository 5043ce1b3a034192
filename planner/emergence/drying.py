"""Chance that two neighbours dry their wings at the same time.

Two pupae of one season share an error (population, thermometer, room), and those of one pupation day share
a further one. A shared error cancels in the difference of their dates. So the chance is computed conditional
on the shared error, and then averaged over it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from planner.emergence.degree_days import Floats
from planner.emergence.distribution import Emergence
from planner.emergence.shared_error import WEIGHT


def same_day(a: Emergence, b: Emergence) -> float:
    """Chance, 0 to 1, that both emerge on the same day, given that both emerge."""
    first = min(a.first, b.first)
    last = max(a.first + a.apart.shape[1] // 24, b.first + b.apart.shape[1] // 24)
    days = []
    for one, given in zip((a, b), _in_common(a, b), strict=True):
        by_day = given.reshape(len(given), -1, 24).sum(axis=2)
        before, after = one.first - first, last - one.first - by_day.shape[1]
        days.append(np.pad(by_day, ((0, 0), (before, after))))
    return _mean((days[0] * days[1]).sum(axis=1), *days)


def together(a: Emergence, b: Emergence, wing_drying: float | None = None) -> float:
    """Chance that one emerges while the other still dries its wings, given that both emerge.

    Parameters
    ----------
    a, b : Emergence
        The two distributions.
    wing_drying : float, optional
        Hours that both take to dry. By default each takes the time of its own species.

    Returns
    -------
    float
        0 to 1.
    """
    after = (a.profile.wing_drying if wing_drying is None else wing_drying) / 24
    before = (b.profile.wing_drying if wing_drying is None else wing_drying) / 24
    of_a, of_b = _in_common(a, b)
    at = a.wall(a.first + (np.arange(of_a.shape[1]) + 0.5) / 24)
    meanwhile = _emerged(b, of_b, at + after) - _emerged(b, of_b, at - before)
    return _mean((of_a * meanwhile).sum(axis=1), of_a, of_b)


def expected_together(
    pairs: Iterable[tuple[str, str]],
    emergences: Mapping[str, Emergence | None],
    wing_drying: float | None = None,
) -> float:
    """Expected number of pairs that dry their wings at the same time.

    Parameters
    ----------
    pairs : iterable of (str, str)
        Ids of neighbours.
    emergences : mapping
        Distributions by id. A pair counts 0 when either is missing or None.
    wing_drying : float, optional
        As in ``together``, hours.
    """
    known: dict[tuple[int, int], float] = {}
    total = 0.0
    for one, other in pairs:
        a, b = emergences.get(one), emergences.get(other)
        if a is None or b is None:
            continue
        key = (id(a), id(b)) if id(a) <= id(b) else (id(b), id(a))
        if key not in known:
            known[key] = together(a, b, wing_drying)
        total += known[key]
    return total


def _in_common(a: Emergence, b: Emergence) -> tuple[Floats, Floats]:
    """Both distributions conditional on their shared error; two species share none (one row each)."""
    if a.species != b.species:
        return (WEIGHT @ a.apart)[None], (WEIGHT @ b.apart)[None]
    return (a.near, b.near) if a.pupated == b.pupated else (a.apart, b.apart)


def _emerged(one: Emergence, given: Floats, wall: Floats) -> Floats:
    """Chance of having emerged by each local time (days from EPOCH), a row for each shared error."""
    total = np.pad(np.cumsum(given, axis=1), ((0, 0), (1, 0)))
    place = np.clip((one.clock(wall) - one.first) * 24, 0, given.shape[1])
    i = np.minimum(place.astype(np.intp), given.shape[1] - 1)
    return np.asarray(total[:, i] + (place - i) * given[:, i])


def _mean(joint: Floats, of_a: Floats, of_b: Floats) -> float:
    """Mean over the shared error, each value weighted by its likelihood given what is known of both."""
    weight = WEIGHT if len(joint) == len(WEIGHT) else np.ones(1)
    agree = of_a.sum(axis=1) * of_b.sum(axis=1)
    return float((weight @ joint) / (weight @ agree))
