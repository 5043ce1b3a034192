"""How likely two neighbours dry their wings at the same time.

Two pupae of one season share its error (population, thermometer, room), those of one pupation day that day's
error besides: in the difference of their dates it falls out. So each is taken given the error in common, and
only then the mean over that error.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from planner.emergence.degree_days import Floats
from planner.emergence.distribution import WEIGHT, Emergence


def same_day(a: Emergence, b: Emergence) -> float:
    """Chance that both emerge on one day, if both emerge."""
    first = min(a.first, b.first)
    last = max(a.first + a.apart.shape[1] // 24, b.first + b.apart.shape[1] // 24)
    days = []
    for one, given in zip((a, b), _in_common(a, b), strict=True):
        by_day = given.reshape(len(given), -1, 24).sum(axis=2)
        before, after = one.first - first, last - one.first - by_day.shape[1]
        days.append(np.pad(by_day, ((0, 0), (before, after))))
    return _mean((days[0] * days[1]).sum(axis=1), *days)


def together(a: Emergence, b: Emergence, wing_drying: float | None = None) -> float:
    """Chance that their emergences are less than ``wing_drying`` hours apart, if both emerge.

    Without that time, each hangs still for what its own species needs.
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

    ``pairs``: ids of neighbours. Pairs with a pupa that has no date, or is not among ``emergences``, count
    nothing.
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
    """Both given the error they share; different species are taken to share none."""
    if a.species != b.species:
        return (WEIGHT @ a.apart)[None], (WEIGHT @ b.apart)[None]
    return (a.near, b.near) if a.pupated == b.pupated else (a.apart, b.apart)


def _emerged(one: Emergence, given: Floats, wall: Floats) -> Floats:
    """Chance of having emerged by each time of day: a row for each error in common."""
    total = np.pad(np.cumsum(given, axis=1), ((0, 0), (1, 0)))
    place = np.clip((one.clock(wall) - one.first) * 24, 0, given.shape[1])
    i = np.minimum(place.astype(np.intp), given.shape[1] - 1)
    return np.asarray(total[:, i] + (place - i) * given[:, i])


def _mean(joint: Floats, of_a: Floats, of_b: Floats) -> float:
    """Mean over the error in common, each value weighted by how it agrees with what is known of both."""
    weight = WEIGHT if len(joint) == len(WEIGHT) else np.ones(1)
    agree = of_a.sum(axis=1) * of_b.sum(axis=1)
    return float((weight @ joint) / (weight @ agree))
