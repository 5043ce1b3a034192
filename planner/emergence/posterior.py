"""Posterior distribution of a species' requirement and spread given a season's records, on a grid.

The model is hierarchical. Pupa i of pupation day j needs K_ij = m + d_j + e_ij degree-days, where d_j and
e_ij are normal with mean 0 and variances r s² and (1 - r) s². The season's mean m and spread s are unknown;
r is the profile's, because one season is too short to estimate it. Priors: m is normal with the profile's
requirement as its mean, and its variance is the season_share of the squared total spread. The logarithm of s
is normal with standard deviation LOG_SPREAD, and the mean of s² is the remaining part of that square.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.emergence.degree_days import Floats
from planner.emergence.normal import normal_cdf
from planner.emergence.profiles import Profile
from planner.emergence.records import Evidence
from planner.emergence.unconditional import HOUR_WEIGHT

# Standard deviation of the log of the spread between populations: a factor of 1.35 either way. Published
# coefficients of variation (0.10 to 0.14 in cabbage whites, 0.06 in monarchs; see profiles/) differ by as
# much. The prior weighs as much as 6 records: the log of a spread from n records has sd 1/√(2n).
LOG_SPREAD = 0.3
# Shares of records that follow no model. Of emergences one in a hundred: a date recorded wrongly, another
# species. Of pupae still hanging one in ten: dead, or in diapause. Both are guesses; they bound the influence
# of one such record.
STRAY_RECORD, STRAY_HANGING = 0.01, 0.1
FINENESS = 150  # grid steps of the mean to one requirement


@dataclass(frozen=True)
class Summary:
    """Requirement and spread of the next pupa, and the shares of its variance that are shared.

    Attributes
    ----------
    requirement : float
        Degree-days.
    spread : float
        Coefficient of variation.
    season_share, day_share : float
        Shares of the spread's square, 0 to 1, common to the season and to one pupation day.
    """

    requirement: float
    spread: float
    season_share: float
    day_share: float


@dataclass(frozen=True, eq=False)
class Posterior:
    """The joint posterior of mean requirement and spread on a grid, factored by pupation day.

    Attributes
    ----------
    mean : ndarray, shape (M,)
        Grid of the mean requirement m, degree-days.
    spread : ndarray, shape (C,)
        Grid of the spread s, degree-days.
    prior : ndarray, shape (M, C)
        Logarithm of the prior density, up to a constant.
    days : ndarray, shape (J, M, C)
        Log likelihood of the records of each of J pupation days.
    ratio : float
        The model's r, 0 to 1.
    """

    mean: Floats
    spread: Floats
    prior: Floats
    days: Floats
    ratio: float

    def summary(self, without: int | None = None) -> Summary:
        """Posterior summary of all records, or of all but those of one pupation day.

        Parameters
        ----------
        without : int, optional
            Index of the pupation day left out.
        """
        log = self.prior + self.days.sum(axis=0)
        if without is not None:
            log = log - self.days[without]
        chance = np.exp(log - log.max())
        chance /= chance.sum()
        of_mean = chance.sum(axis=1)
        mean = float(of_mean @ self.mean)
        shared = float(of_mean @ (self.mean - mean) ** 2)
        own = float(chance.sum(axis=0) @ self.spread**2)
        share = shared / (shared + own)
        return Summary(mean, float(np.sqrt(shared + own)) / mean, share, self.ratio * (1 - share))


def posterior(profile: Profile, evidence: Evidence) -> Posterior:
    """The posterior of mean requirement and spread, with the profile as the prior."""
    shared = profile.requirement * profile.spread * np.sqrt(profile.season_share)
    own = profile.requirement * profile.spread * np.sqrt(1 - profile.season_share)
    ratio = profile.day_share / (1 - profile.season_share)
    step = np.linspace(-3, 3, 17) * LOG_SPREAD
    spread = own * np.exp(step - LOG_SPREAD**2)
    mean = _means(profile, evidence, shared, own)
    of_mean = -(((mean - profile.requirement) / max(shared, 1e-3 * profile.requirement)) ** 2) / 2
    prior = of_mean[:, None] - (step / LOG_SPREAD) ** 2 / 2
    return Posterior(mean, spread, prior, _days(profile, evidence, mean, spread, ratio), ratio)


def _means(profile: Profile, evidence: Evidence, shared: float, own: float) -> Floats:
    """The grid of the mean, degree-days: it covers the prior and the middle nine tenths of the records."""
    low, high = profile.requirement - 4 * shared - 4 * own, profile.requirement + 4 * shared + 4 * own
    middle = ((evidence.low + evidence.high) / 2 - evidence.start.mean(axis=1))[
        np.isfinite(evidence.low + evidence.high)
    ]
    if len(middle):
        low = min(low, float(np.quantile(middle, 0.05)) - 4 * own)
        high = max(high, float(np.quantile(middle, 0.95)) + 4 * own)
    low, high = max(low, profile.requirement / 10), min(high, profile.requirement * 5)
    return np.linspace(low, high, int((high - low) / profile.requirement * FINENESS) + 2)


def _days(profile: Profile, evidence: Evidence, mean: Floats, spread: Floats, ratio: float) -> Floats:
    """Log likelihood of each pupation day's records over the grid, d_j integrated out; shape (J, M, C)."""
    count = int(evidence.batch.max()) + 1 if len(evidence.batch) else 0
    found = np.zeros((count, len(mean), len(spread)))
    for k, sd in enumerate(spread.tolist()):
        each = evidence.count[:, None] * _log_likelihood(profile, evidence, mean, sd * np.sqrt(1 - ratio))
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


def _log_likelihood(profile: Profile, evidence: Evidence, mean: Floats, sd: float) -> Floats:
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
    anywhere = np.clip(width / (2 * profile.requirement), 1e-6, 1)[:, None]
    return np.asarray(np.log((1 - stray) * np.maximum(chance @ HOUR_WEIGHT, 0) + stray * anywhere))
