"""How much less is known of degree-days where only the extremes of each day are measured.

A sine wave through a day's minimum and maximum has their midpoint for its mean; a real day departs from that
by its shape, and by sun on the thermometer. Both are a site's own and much the same from day to day. So their
error is one of those that all pupae of a season share, which records teach.
"""

from __future__ import annotations

import math

from planner.emergence.prior import Summary
from planner.emergence.temperatures import measured
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season

# Standard deviation of that error between sites, as a share of the degree-days. At 8 of 10 of 125 reference
# stations of the USA the midpoint is within 0.5 °C of the true mean, off the same way in all seasons and
# years ("Errors in estimating temperatures using the average of Tmax and Tmin", 2012, summary read): a
# standard deviation of 0.39 °C, 4 % where it is 10 °C above the lower threshold. At a site in the sun it was
# 10 % (52 summer days, computed). Racks stand between the two. A guess from both.
EXTREMES_SPREAD = 0.05


def by_extremes(season: Season) -> bool:
    """Whether degree-days are counted from daily extremes; not where the temperature file is faulty."""
    try:
        readings = measured(season)
    except FaultyFiles:
        return False
    return readings is not None and readings.daily and len(readings.start) > 0


def as_counted(season: Season, species: str, profile: Summary) -> Summary:
    """A profile's figures, with the error of daily extremes among those that a season shares.

    A spread that season.yaml states stays as stated.
    """
    entry = season.profiles.get(species)
    if (entry is not None and entry.spread is not None) or not by_extremes(season):
        return profile
    spread = math.hypot(profile.spread, EXTREMES_SPREAD)
    kept = (profile.spread / spread) ** 2
    season_share = 1 - kept * (1 - profile.season_share)
    return Summary(profile.requirement, spread, season_share, kept * profile.day_share)
