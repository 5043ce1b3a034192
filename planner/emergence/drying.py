"""Chance that two neighbours dry their wings at the same time.

Two pupae of one season share an error (population, thermometer, room), and those of one pupation day share
a further one. A shared error cancels in the difference of their dates. So the chance is computed conditional
on the shared error, and then averaged over it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence

import numpy as np

from planner.emergence.conditional import WEIGHT
from planner.emergence.degree_days import Floats
from planner.emergence.distribution import Emergence


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
    of_a, of_b = _in_common(a, b)
    joint = _joint(a, of_a, b, of_b, wing_drying) + _joint(b, of_b, a, of_a, wing_drying)
    return _mean(joint / 2, of_a, of_b)


def _joint(a: Emergence, of_a: Floats, b: Emergence, of_b: Floats, wing_drying: float | None) -> Floats:
    """Chance of both by the hours of the first, a value for each shared error.

    By the hours of the second its last digits differ: `together` takes the mean of both.
    """
    after = (a.profile.wing_drying if wing_drying is None else wing_drying) / 24
    before = (b.profile.wing_drying if wing_drying is None else wing_drying) / 24
    at = a.wall(a.first + (np.arange(of_a.shape[1]) + 0.5) / 24)
    meanwhile = _emerged(b, of_b, at + after) - _emerged(b, of_b, at - before)
    return np.asarray((of_a * meanwhile).sum(axis=1))


def together_each(those: Sequence[Emergence]) -> Floats:
    """`together` of each two, shape (n, n): far sooner than two by two.

    All are laid on one clock. Then the chance is, for each value of the shared error, a product of matrices.
    """
    chance = np.zeros((len(those), len(those)))
    members: defaultdict[str, list[int]] = defaultdict(list)
    for i, one in enumerate(those):
        members[one.species].append(i)
    for name, here in members.items():
        for other, there in members.items():
            if other != name:
                chance[np.ix_(here, there)] = _each([those[i] for i in here], [those[j] for j in there], None)
        alike = [those[i] for i in here]
        chance[np.ix_(here, here)] = _each(alike, alike, "apart")
        for same in _groups([one.pupated for one in alike]):
            block, near = [here[k] for k in same], [alike[k] for k in same]
            chance[np.ix_(block, block)] = _each(near, near, "near")
    return np.asarray((chance + chance.T) / 2)


def _groups(keys: Sequence[Hashable]) -> Iterable[list[int]]:
    """Indices of equal keys."""
    found: defaultdict[Hashable, list[int]] = defaultdict(list)
    for i, key in enumerate(keys):
        found[key].append(i)
    return found.values()


def _each(of_a: Sequence[Emergence], of_b: Sequence[Emergence], common: str | None) -> Floats:
    """`together` by the hours of ``of_a``, shape (len(of_a), len(of_b)); ``common``: the error they share."""
    first = min(one.first for one in (*of_a, *of_b))
    count = 24 * (max(one.first + one.apart.shape[1] // 24 for one in (*of_a, *of_b)) - first)
    a, b = of_a[0], of_b[0]
    at = a.wall(first + (np.arange(count) + 0.5) / 24)
    ends = at + a.profile.wing_drying / 24, at - b.profile.wing_drying / 24
    places = [np.clip((b.clock(end) - first) * 24, 0, count) for end in ends]
    hours = [np.minimum(place.astype(np.intp), count - 1) for place in places]
    rows = len(WEIGHT) if common else 1
    gone = np.zeros((len(of_b), count + 1))  # by the beginning of each hour
    joint = np.zeros((len(of_a), len(of_b)))
    agree = np.zeros_like(joint)
    for k in range(rows):
        here = _on_one_clock(of_a, first, count, common, k)
        there = here if of_b is of_a else _on_one_clock(of_b, first, count, common, k)
        np.cumsum(there, axis=1, out=gone[:, 1:])
        after, before = (
            gone[:, i] + (place - i) * there[:, i] for place, i in zip(places, hours, strict=True)
        )
        meanwhile = after - before
        weight = WEIGHT[k] if common else 1.0
        joint += weight * (here @ meanwhile.T)
        agree += weight * np.outer(here.sum(axis=1), there.sum(axis=1))
    return joint / agree


def _on_one_clock(those: Sequence[Emergence], first: int, count: int, common: str | None, k: int) -> Floats:
    """The chance of each hour given the ``k``-th value of the shared error, a row for each emergence."""
    found = np.zeros((len(those), count))
    for row, one in zip(found, those, strict=True):
        given = WEIGHT @ one.apart if common is None else getattr(one, common)[k]
        start = (one.first - first) * 24
        row[start : start + len(given)] = given
    return found


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
