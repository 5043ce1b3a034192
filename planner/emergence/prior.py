"""What is known of a season's requirement and spread before its records: from the profile, and other seasons.

The model has levels. A keeper's requirement k differs from the profile's K, for another population,
thermometer or room; each season's mean m differs from k. Both errors together are the ``season_share`` of the
profile's spread. That between keepers has a Student distribution of 4 degrees of freedom, for now and then a
population is far from the published ones; that between seasons is normal. The logarithm of the spread within
a season has the same two levels, both normal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

# Standard deviation of the log of the spread between populations: a factor of 1.35 either way. Published
# coefficients of variation (0.10 to 0.14 in cabbage whites, 0.06 in monarchs; see profiles/) differ by as
# much. The prior weighs as much as 6 records: the log of a spread from n records has sd 1/√(2n).
LOG_SPREAD = 0.3
# Share of both variances that is between keepers and stays from season to season; the rest is between the
# seasons of one keeper. A guess: the published requirements differ between populations, and no series of
# seasons of one keeper is published.
KEEPER_SHARE = 0.75
FREEDOM = 4  # of Student's distribution between keepers
GRID = 600  # steps of the keeper's requirement


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


@dataclass(frozen=True)
class Prior:
    """What is known of a season before its records: of the mean requirement and the spread of its pupae.

    Attributes
    ----------
    requirement, error : float
        Mean and standard deviation of the season's mean requirement, degree-days.
    own, log_error : float
        Root mean square of the spread within a season, degree-days, and standard deviation of its logarithm.
    ratio : float
        The model's r, 0 to 1.
    """

    requirement: float
    error: float
    own: float
    log_error: float
    ratio: float

    @property
    def summary(self) -> Summary:
        """Requirement and spread of the next pupa while the season has no records."""
        total = self.error**2 + self.own**2
        share = self.error**2 / total
        return Summary(self.requirement, math.sqrt(total) / self.requirement, share, self.ratio * (1 - share))


def prior_of(profile: Summary) -> Prior:
    """The prior of who has no other season to go by: a profile's figures."""
    spread = profile.requirement * profile.spread
    return Prior(
        requirement=profile.requirement,
        error=spread * math.sqrt(profile.season_share),
        own=spread * math.sqrt(1 - profile.season_share),
        log_error=LOG_SPREAD,
        ratio=profile.day_share / (1 - profile.season_share),
    )


@dataclass(frozen=True)
class Estimate:
    """What the records of one season say by themselves, whatever profile and other seasons say.

    Attributes
    ----------
    requirement, error : float
        Mean requirement and its standard error, degree-days.
    spread, spread_error : float
        Spread within the season as a share of the requirement, and the standard error of its logarithm.
    """

    requirement: float
    error: float
    spread: float
    spread_error: float


def carried(profile: Summary, seasons: Sequence[Estimate]) -> Prior:
    """The prior of the season after these, the latest of which is the last; without any it is the profile.

    Each season between makes an estimate one season's difference less certain.
    """
    first = prior_of(profile)
    if not seasons:
        return first
    ages = range(len(seasons), 0, -1)
    between, wide = first.error**2 * (1 - KEEPER_SHARE), first.error * math.sqrt(KEEPER_SHARE)
    core = wide * math.sqrt((FREEDOM - 2) / FREEDOM)  # the scale that makes the variance wide²
    seen = [
        (s.requirement, math.sqrt(age * between + s.error**2)) for s, age in zip(seasons, ages, strict=True)
    ]
    low = min(profile.requirement - 5 * wide, *(m - 4 * sd for m, sd in seen))
    high = max(profile.requirement + 5 * wide, *(m + 4 * sd for m, sd in seen))
    grid = [low + (high - low) * i / GRID for i in range(GRID + 1)]
    log = [
        -(FREEDOM + 1) / 2 * math.log1p(((k - profile.requirement) / core) ** 2 / FREEDOM)
        - sum(((k - m) / sd) ** 2 for m, sd in seen) / 2
        for k in grid
    ]
    top = max(log)
    weight = [math.exp(x - top) for x in log]
    total = sum(weight)
    mean = sum(w * k for w, k in zip(weight, grid, strict=True)) / total
    variance = sum(w * (k - mean) ** 2 for w, k in zip(weight, grid, strict=True)) / total
    own, log_error = _spread(profile, seasons, ages)
    return Prior(mean, math.sqrt(variance + between), own * mean, log_error, first.ratio)


def _spread(profile: Summary, seasons: Sequence[Estimate], ages: Sequence[int]) -> tuple[float, float]:
    """Root mean square of the spread of the season to come, as a share, and the error of its logarithm."""
    between = LOG_SPREAD**2 * (1 - KEEPER_SHARE)
    # The median of a lognormal spread, of which the root mean square is the profile's.
    middle = math.log(profile.spread * math.sqrt(1 - profile.season_share)) - LOG_SPREAD**2
    weights = [1 / (LOG_SPREAD**2 * KEEPER_SHARE)]
    logs = [middle]
    for season, age in zip(seasons, ages, strict=True):
        weights.append(1 / (age * between + season.spread_error**2))
        logs.append(math.log(season.spread))
    mean = sum(w * x for w, x in zip(weights, logs, strict=True)) / sum(weights)
    variance = 1 / sum(weights) + between
    return math.exp(mean + variance), math.sqrt(variance)
