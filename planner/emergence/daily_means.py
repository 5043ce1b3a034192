"""Daily mean temperatures as a mixture of Gaussian processes, given the days that are known.

Each process has a level and a yearly course, both uncertain, and anomalies, of which a part persists for
days (a first-order autoregression) and a part for weeks. How wide the anomalies are and how long they persist
is not known either: a grid of both is weighed by the likelihood of the days known, and what is told of the
days to come is the mixture's. The constants are those of `climate`.

After the last day that is known, the covariance with it is a sum of five products, of a function of the day
known and a function of the day to come (its features): one each for the two kinds of anomalies, the level and
the course's two waves. So the days to come need no matrix of their own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from planner.emergence import climate
from planner.emergence.degree_days import Floats
from planner.emergence.weather_prior import Course, Prior, waves

ROUNDING = 0.05  # °C; readings are told to a tenth of a degree
_LEAST = 1e-3  # a process with a smaller chance is left out


@dataclass(frozen=True, eq=False)
class Known:
    """The days of which something is known: measured, or forecast by a weather service.

    Attributes
    ----------
    day : ndarray, shape (n,)
        Whole days from EPOCH, ascending.
    value : ndarray, shape (n,)
        Mean of each, °C.
    noise : ndarray, shape (n, n)
        Covariance of their errors, °C².
    """

    day: Floats
    value: Floats
    noise: Floats


@dataclass(frozen=True, eq=False)
class Likely:
    """The processes that are likely, and what the days known say in each of them.

    Attributes
    ----------
    chance, sd, persistence : ndarray, shape (k,)
        Of each process.
    """

    chance: Floats
    sd: Floats
    persistence: Floats


def likely(prior: Prior, known: Known) -> Likely:
    """The processes weighed by the likelihood of the days known; their chances sum to 1."""
    sds, weight = prior.sds
    log = np.tile(weight, (len(climate.PERSISTENCES), 1))
    if len(known.day):
        when = prior.when(known.day)
        off = known.value - prior.mean(sds, when)
        for k, persistence in enumerate(climate.PERSISTENCES):
            lower = _root(prior, known, when, sds, np.full(len(sds), persistence))
            by_root = np.linalg.solve(lower, off[:, :, None])[:, :, 0]
            log[k] -= np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(1) + (by_root**2).sum(1) / 2
    chance = np.exp(log - log.max())
    row, column = np.nonzero(chance > _LEAST * chance.sum())
    found = chance[row, column]
    return Likely(found / found.sum(), sds[column], np.array(climate.PERSISTENCES)[row])


def _root(prior: Prior, known: Known, when: Course, sd: Floats, persistence: Floats) -> Floats:
    """Cholesky root of the covariance of the days known in each process; shape (k, n, n)."""
    found = _anomalies(known.day, known.day, sd, persistence)
    found *= np.outer(when.width, when.width)
    found += known.noise
    for spread, wave in zip(prior.spreads(sd), waves(when), strict=True):
        found += spread[:, None, None] ** 2 * np.outer(wave, wave)
    return np.asarray(np.linalg.cholesky(found + ROUNDING**2 * np.eye(len(known.day))))


def _anomalies(a: Floats, b: Floats, sd: Floats, persistence: Floats) -> Floats:
    """Covariance of the anomalies of days ``a`` and ``b`` in summer, °C²; shape (k, len(a), len(b))."""
    lag = np.abs(a[:, None] - b).astype(np.intp)
    lags, slow = np.arange(lag.max(initial=0) + 1), climate.SLOW_SHARE
    both = (1 - slow) * persistence[:, None] ** lags + slow * np.exp(-lags / climate.SLOW_DAYS)
    return np.asarray((sd[:, None] ** 2 * both)[:, lag])


@dataclass(frozen=True, eq=False)
class DailyMeans:
    """The means of days to come, in a row, in each of the likely processes.

    Attributes
    ----------
    share : ndarray, shape (n,)
        How much of each day is to come.
    of : Likely
        The processes.
    expected : ndarray, shape (k, n)
        Expected mean of each day, °C.
    features : ndarray, shape (k, n, f)
        By which a day to come depends on the days known.
    explained : ndarray, shape (k, f, f)
        Covariance of what the days known tell of the features, °C².
    """

    prior: Prior
    when: Course
    share: Floats
    of: Likely
    expected: Floats
    features: Floats
    explained: Floats

    @property
    def mean(self) -> Floats:
        """Expected mean of each day, °C; shape (n,)."""
        return np.asarray(self.of.chance @ self.expected)

    @property
    def variance(self) -> Floats:
        """Variance of each day's mean, °C²; shape (n,)."""
        spreads = self.prior.spreads(self.of.sd)
        found = np.outer(self.of.sd, self.when.width) ** 2 + np.einsum(
            "wk,wd->kd", spreads**2, waves(self.when) ** 2
        )
        found -= np.einsum("kdf,kfg,kdg->kd", self.features, self.explained, self.features, optimize=True)
        return np.asarray(self.of.chance @ (found + (self.expected - self.mean) ** 2))

    @lru_cache(maxsize=64)  # noqa: B019  # one object for each season
    def sums_sd(self, origin: int) -> Floats:
        """Standard deviation of the sum of the means from day ``origin`` to each edge; shape (n + 1,).

        In °C × days; 0 before it. Its square is the mean of the processes' variances, and the variance of
        their means. Made non-decreasing, as it is but for rounding and reversion to the course.
        """
        width, sd = self.when.width * self.share, self.of.sd
        fast = {p: _sum_variance(width[origin:].tolist(), p) for p in set(self.of.persistence.tolist())}
        lasting = np.array(_sum_variance(width[origin:].tolist(), math.exp(-1 / climate.SLOW_DAYS)))
        slow = climate.SLOW_SHARE
        found = (1 - slow) * np.array([fast[p] for p in self.of.persistence.tolist()]) + slow * lasting
        found *= sd[:, None] ** 2
        course = _since(origin, waves(self.when) * self.share)
        found += np.einsum("wk,wd->kd", self.prior.spreads(sd) ** 2, course**2)
        sums = _since(origin, np.moveaxis(self.features * self.share[:, None], 1, 2))
        found -= np.einsum("kfd,kfg,kgd->kd", sums, self.explained, sums, optimize=True)
        means = _since(origin, self.expected * self.share)
        found += (means - self.of.chance @ means) ** 2
        found = np.maximum.accumulate(np.sqrt(np.maximum(self.of.chance @ found, 0)))
        return np.append(np.zeros(origin), found)


def _since(origin: int, each: Floats) -> Floats:
    """Sums over the last axis from ``origin`` to each edge after it, 0 first."""
    summed = np.cumsum(each[..., origin:], axis=-1)
    return np.concatenate([np.zeros((*summed.shape[:-1], 1)), summed], axis=-1)


def _sum_variance(width: Iterable[float], persistence: float) -> list[float]:
    """Variance of the sum of the first 0, 1, ... values of an autoregression.

    ``width``: their standard deviations.
    """
    found, variance, along = [0.0], 0.0, 0.0
    for sd in width:
        variance += sd * (sd + 2 * along)
        along = persistence * (along + sd)  # covariance of the sum with the next value, over its sd
        found.append(variance)
    return found


def daily_means(prior: Prior, of: Likely, known: Known, first: int, share: Floats) -> DailyMeans:
    """The means of the days from ``first`` on (whole days from EPOCH), given the days known."""
    days = first + np.arange(len(share), dtype=float)
    when = prior.when(days)
    expected = prior.mean(of.sd, when)
    if not len(known.day):
        nothing = np.zeros((len(of.sd), len(days), 0))
        return DailyMeans(prior, when, share, of, expected, nothing, np.zeros((len(of.sd), 0, 0)))
    last, seen = known.day[-1], prior.when(known.day)
    slow = climate.SLOW_SHARE
    several = int(np.clip(last - first + 1, 0, len(days)))  # days forecast, each a feature of its own
    spreads = prior.spreads(of.sd) ** 2
    # Features of the days known and of those to come, after the last one known.
    lead, back = np.maximum(days - last, 0), last - known.day
    mine = np.stack(
        [
            of.sd[:, None] ** 2 * (1 - slow) * of.persistence[:, None] ** back * seen.width,
            of.sd[:, None] ** 2 * slow * np.exp(-back / climate.SLOW_DAYS) * seen.width,
            *(spreads[:, :, None] * waves(seen)[:, None, :]),
        ],
        axis=2,
    )
    theirs = np.stack(
        [
            of.persistence[:, None] ** lead * when.width,
            np.exp(-lead / climate.SLOW_DAYS) * when.width + 0 * of.sd[:, None],
            *(waves(when)[:, None, :] + 0 * of.sd[:, None]),
        ],
        axis=2,
    )
    if several:
        within = _anomalies(known.day, days[:several], of.sd, of.persistence)
        within *= np.outer(seen.width, when.width[:several])
        for spread, a, b in zip(spreads, waves(seen), waves(when), strict=True):
            within += spread[:, None, None] * np.outer(a, b[:several])
        mine = np.concatenate([mine, within], axis=2)
        theirs[:, :several] = 0
        alone = np.pad(np.eye(several), ((0, len(days) - several), (0, 0)))
        theirs = np.concatenate([theirs, np.broadcast_to(alone, (len(of.sd), *alone.shape))], axis=2)
    lower = _root(prior, known, seen, of.sd, of.persistence)
    off = known.value - prior.mean(of.sd, seen)
    solved = np.linalg.solve(lower, np.concatenate([mine, off[:, :, None]], axis=2))
    mine, off = solved[:, :, :-1], solved[:, :, -1]
    turned = mine.swapaxes(1, 2)
    expected = expected + np.einsum("kdf,kfn,kn->kd", theirs, turned, off, optimize=True)
    return DailyMeans(prior, when, share, of, expected, theirs, turned @ mine)
