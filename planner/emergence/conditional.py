"""The chance of each hour of readiness, conditional on the error that a pupa shares with others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.emergence.curve import Curve
from planner.emergence.degree_days import Floats
from planner.emergence.marginal import HOUR_NODES, NODE_WEIGHTS
from planner.emergence.normal import normal_cdf

# Values of the standardised shared error, in even steps, for with the weather in it it may be eight times a
# pupa's own; and their weights, which sum to 1.
COMMON = np.linspace(-4.5, 4.5, 37)
WEIGHT = np.exp(-(COMMON**2) / 2) / np.exp(-(COMMON**2) / 2).sum()
# The possible hours of pupation, as a share of the day, and their weights.
HOURS, HOUR_WEIGHT = np.array(HOUR_NODES), np.array(NODE_WEIGHTS)


@dataclass(frozen=True, eq=False)
class Conditional:
    """What the chances of one pupa's hours are reckoned from.

    Attributes
    ----------
    curve : Curve
        Of its species.
    pupated : float
        Middle of the time in which it pupated, days from EPOCH.
    start, weight : ndarray, of one shape
        Cumulative degree-days at the possible hours of pupation, and their chances.
    edges : ndarray, shape (t + 1,)
        Ends of the hours, days from EPOCH.
    requirement, sd : float
        Degree-days of the median pupa, and their standard deviation.
    """

    curve: Curve
    pupated: float
    start: Floats
    weight: Floats
    edges: Floats
    requirement: float
    sd: float

    def given_season(self, season_share: float) -> Floats:
        """Given the error shared by all pupae of a season; shape (len(COMMON), t)."""
        return self._given(self.sd * np.sqrt(season_share), self.sd * np.sqrt(1 - season_share), self.start)

    def given_siblings(self, season_share: float, day_share: float, sibling_spread: float) -> Floats:
        """Given the error shared by the pupae of one pupation day; shape (len(COMMON), t).

        They share the errors of season and day, and of what is left (their own error, and the hour of
        pupation where that is unknown) all but ``sibling_spread``, a factor of its standard deviation. So the
        chances of a single pupa are the same whatever that is.
        """
        middle = float(self.weight @ self.start)
        own = self.sd**2 * (1 - season_share - day_share)
        hour = float(self.weight @ (self.start - middle) ** 2)
        most = np.sqrt(1 + self.sd**2 * day_share / (own + hour))  # then the day's error is all their own
        factor = min(sibling_spread, float(most))
        shared = self.sd**2 * (season_share + day_share) + (1 - factor**2) * (own + hour)
        return self._given(np.sqrt(shared), np.sqrt(own) * factor, middle + factor * (self.start - middle))

    def _given(self, shared: float, own: float, start: Floats) -> Floats:
        gathered = self.curve.less(self.pupated, self.edges, float(shared), COMMON)
        reached = np.zeros_like(gathered)
        for weight, begun in zip(self.weight, start, strict=True):  # one by one: they stay in the cache
            reached += weight * normal_cdf((gathered - (begun + self.requirement)) / own)
        reached = np.maximum.accumulate(reached, axis=1)
        reached[:, 0] = 0  # the small chance before is added to the first hour
        return np.asarray(np.diff(reached))
