"""Posterior distribution of a species' requirement and spread given a season's records, on a grid.

The model is hierarchical. Pupa i of pupation day j needs K_ij = m_j + d_j + e_ij degree-days, where d_j and
e_ij are normal with mean 0 and variances r s² and (1 - r) s². The season's mean m and spread s are unknown;
r is the profile's, because one season is too short to estimate it. The mean drifts as a random walk: from one
day to the next by a normal step, whose size is unknown, too, see DRIFTS. Priors: m of the first day is normal
with the requirement and error of a ``Prior``; the logarithm of s is normal, its mean square is the prior's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np

from planner.emergence.conditional import HOUR_WEIGHT
from planner.emergence.degree_days import Floats
from planner.emergence.normal import normal_cdf
from planner.emergence.prior import Estimate, Prior, Summary
from planner.emergence.records import Evidence

# Shares of records that follow no model. Of emergences one in a hundred: a date recorded wrongly, another
# species. Of pupae still hanging one in ten: dead, or in diapause. Both are guesses; they bound the influence
# of one such record.
STRAY_RECORD, STRAY_HANGING = 0.01, 0.1
# Prior chance of each rate of drift of the mean requirement: standard deviation of a step from one day to the
# next, as a share of the requirement. Chosen by simulated drift, see tests/bench/keepers.py.
DRIFTS = {0.0: 0.25, 0.008: 0.5, 0.016: 0.25}
LEAST_TOLD = 1.0  # least precision of the logarithm of a spread: so uncertain that it says nothing
FINENESS = 150  # grid steps of the mean to one requirement


@dataclass(frozen=True, eq=False)
class Posterior:
    """The joint posterior of mean requirement and spread on a grid, the mean drifting from day to day.

    Attributes
    ----------
    mean : ndarray, shape (M,)
        Grid of the mean requirement m, degree-days.
    spread : ndarray, shape (C,)
        Grid of the spread s, degree-days.
    before : ndarray, shape (J + 1, D, M, C)
        Density, up to a constant, of the rate of drift, of m on each of J pupation days, of s, and of the
        records of the days before that. The last one is of the day to forecast for.
    behind : ndarray, shape (J + 1, D, M, C)
        Likelihood, up to a constant, of the records of the days after that.
    alone : ndarray, shape (M, C)
        Density of m and s, up to a constant, by the records alone: without drift, and with no prior of m.
    prior : Prior
        What it began from.
    """

    mean: Floats
    spread: Floats
    before: Floats
    behind: Floats
    alone: Floats
    prior: Prior

    def summary(self, day: int = -1) -> Summary:
        """Summary for the day to forecast for; or for a pupation day, from the records of all others.

        Parameters
        ----------
        day : int, optional
            Index of that pupation day.
        """
        chance = (self.before[day] * self.behind[day]).sum(axis=0)
        chance /= chance.sum()
        of_mean = chance.sum(axis=1)
        mean = float(of_mean @ self.mean)
        shared = float(of_mean @ (self.mean - mean) ** 2)
        own = float(chance.sum(axis=0) @ self.spread**2)
        share = shared / (shared + own)
        return Summary(mean, float(np.sqrt(shared + own)) / mean, share, self.prior.ratio * (1 - share))

    def estimate(self) -> Estimate:
        """What the records say by themselves, to be told to a season to come.

        The error of the spread's logarithm is that of records which, joined to the prior, give the posterior.
        """
        chance = self.alone / self.alone.sum()
        of_mean, of_spread = chance.sum(axis=1), chance.sum(axis=0)
        mean = float(of_mean @ self.mean)
        error = float(np.sqrt(of_mean @ (self.mean - mean) ** 2))
        log, first = np.log(self.spread), self.prior.log_error**-2
        middle = float(of_spread @ log)
        both = 1 / float(of_spread @ (log - middle) ** 2)
        records = max(both - first, LEAST_TOLD)
        own = (both * middle - first * float(log.mean())) / records if both > first else middle
        spread = min(float(np.exp(own)) / mean, 0.5)
        return Estimate(mean, error, spread, float(records**-0.5))


def posterior(
    prior: Prior, evidence: Evidence, until: date, drifts: Mapping[float, float] = DRIFTS
) -> Posterior:
    """The posterior of mean requirement and spread of pupae that pupate on the day ``until``, or later.

    It is found by a forward and a backward pass over the pupation days (a hidden Markov model, whose states
    are the grid).

    Parameters
    ----------
    until : date
        A day before the last with a record counts as that.
    drifts : mapping of float to float
        Prior chance of each rate of drift; see DRIFTS.
    """
    step = np.linspace(-3, 3, 17) * prior.log_error
    spread = prior.own * np.exp(step - prior.log_error**2)
    mean = _means(prior, evidence)
    of_mean = -(((mean - prior.requirement) / max(prior.error, 1e-3 * prior.requirement)) ** 2) / 2
    first = np.exp(of_mean[:, None] - (step / prior.log_error) ** 2 / 2)
    days = _days(prior, evidence, mean, spread)
    days = np.exp(days - days.max(axis=(1, 2), keepdims=True))
    rates = np.array(list(drifts)) * prior.requirement
    apart = [(b - a).days for a, b in pairwise([*evidence.days, max(until, evidence.days[-1])])]
    kernels = {n: _kernels(mean, rates * np.sqrt(n)) for n in set(apart)}
    before = [np.array(list(drifts.values()))[:, None, None] * first]
    for likelihood, n in zip(days, apart, strict=True):
        before.append(_scaled(kernels[n] @ (before[-1] * likelihood)))
    behind = [np.ones_like(before[0])] * 2
    for likelihood, n in zip(days[:0:-1], apart[-2::-1], strict=True):
        behind.append(_scaled(kernels[n].swapaxes(1, 2) @ (behind[-1] * likelihood)))
    log = np.log(np.maximum(days, 1e-300)).sum(axis=0) - (step / prior.log_error) ** 2 / 2
    return Posterior(mean, spread, np.array(before), np.array(behind[::-1]), np.exp(log - log.max()), prior)


def _kernels(mean: Floats, sds: Floats) -> Floats:
    """Chance of each mean (rows) given an earlier one (columns), for each drift's sd; shape (D, M, M)."""
    off = (mean[:, None] - mean) / np.maximum(sds, 1e-9)[:, None, None]
    kernels = np.exp(-(off**2) / 2)
    return np.asarray(kernels / kernels.sum(axis=1, keepdims=True))


def _scaled(density: Floats) -> Floats:
    """The same up to a constant, so that long seasons leave no number too small."""
    return np.asarray(density / density.max())


def _means(prior: Prior, evidence: Evidence) -> Floats:
    """The grid of the mean, degree-days: it covers the prior and the middle nine tenths of the records."""
    own, requirement = prior.own, prior.requirement
    low, high = requirement - 4 * prior.error - 4 * own, requirement + 4 * prior.error + 4 * own
    middle = ((evidence.low + evidence.high) / 2 - evidence.start.mean(axis=1))[
        np.isfinite(evidence.low + evidence.high)
    ]
    if len(middle):
        low = min(low, float(np.quantile(middle, 0.05)) - 4 * own)
        high = max(high, float(np.quantile(middle, 0.95)) + 4 * own)
    low, high = max(low, requirement / 10), min(high, requirement * 5)
    return np.linspace(low, high, int((high - low) / requirement * FINENESS) + 2)


def _days(prior: Prior, evidence: Evidence, mean: Floats, spread: Floats) -> Floats:
    """Log likelihood of each pupation day's records over the grid, d_j integrated out; shape (J, M, C)."""
    count, ratio = len(evidence.days), prior.ratio
    found = np.zeros((count, len(mean), len(spread)))
    for k, sd in enumerate(spread.tolist()):
        each = evidence.count[:, None] * _log_likelihood(prior, evidence, mean, sd * np.sqrt(1 - ratio))
        of_day = np.zeros((count, len(mean)))
        np.add.at(of_day, evidence.batch, each)
        if ratio > 0:
            top = of_day.max(axis=1, keepdims=True)
            off = (mean - mean[:, None]) / (sd * np.sqrt(ratio))
            kernel = np.exp(-(off**2) / 2)
            kernel /= kernel.sum(axis=1, keepdims=True)
            of_day = np.log(np.maximum(np.exp(of_day - top) @ kernel.T, 1e-300)) + top
        found[:, :, k] = of_day
    return found


def _log_likelihood(prior: Prior, evidence: Evidence, mean: Floats, sd: float) -> Floats:
    """Log likelihood of each record for each mean requirement of its pupation day; shape (records, means).

    ``mean``: degree-days; ``sd``: standard deviation of e_ij, degree-days.
    """
    start = evidence.start[:, None, :] + mean[:, None]  # records × means × hours
    chance = np.ones(start.shape)
    for edge, sign in ((evidence.high, 1), (evidence.low, -1)):
        known = np.isfinite(edge)
        reached = normal_cdf((edge[known, None, None] - start[known]) / sd)
        chance[known] += sign * reached - (1 if sign > 0 else 0)
    hanging = ~np.isfinite(evidence.high)
    stray = np.where(hanging, STRAY_HANGING, STRAY_RECORD)[:, None]
    # A stray is uniform over two requirements; a record open at one end has likelihood 1 for it.
    width = np.where(np.isfinite(evidence.high - evidence.low), evidence.high - evidence.low, np.inf)
    anywhere = np.clip(width / (2 * prior.requirement), 1e-6, 1)[:, None]
    return np.asarray(np.log((1 - stray) * np.maximum(chance @ HOUR_WEIGHT, 0) + stray * anywhere))
