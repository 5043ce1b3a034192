"""How often two pupae of one pupation day emerge on one day: as foretold, and as recorded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from planner.emergence.clock import EPOCH
from planner.emergence.curve import Curve
from planner.emergence.distribution import unconditional
from planner.emergence.drying import same_day
from planner.emergence.profiles import Profile
from planner.emergence.records import ON, Record
from planner.season.reading.when import When

LEAST_PAIRS = 10  # with fewer recorded the profile's spread stays
# Weight of the profile beside the recorded pairs, in pairs: pairs of one animal are not independent, so that
# a dozen pairs may be no more than five animals. A guess.
PRIOR_PAIRS = 10
MOST_DAYS = 8  # pupation days for which the share is foretold: from one to the next it changes little
A_DAY = 1.25  # days; between two looks a day apart it may have been ready a little longer
SPREADS = (0.05, 0.2, 0.4, 0.6, 0.8, 1.0, 1.3, 1.7)  # factors at which the share foretold is reckoned


@dataclass(frozen=True)
class Siblings:
    """Pairs of one pupation day of which both days of emergence are known.

    Attributes
    ----------
    pairs, same : int
        Number of them, and of those that emerged on one day.
    before, after : float
        Share foretold to emerge on one day, 0 to 1, by the profile and with ``spread``.
    spread : float
        ``Profile.sibling_spread`` as learned: the profile's with fewer than LEAST_PAIRS.
    """

    pairs: int
    same: int
    before: float
    after: float
    spread: float


def siblings(profile: Profile, curve: Curve, records: Sequence[Record]) -> Siblings:
    """What the records of one species tell of pupae of one pupation day.

    ``spread`` is that with which as many pairs are foretold to emerge on one day as did, PRIOR_PAIRS more of
    them counted as the profile has them.

    Parameters
    ----------
    profile, curve
        Of the species.
    records : sequence of Record
        Those whose day of emergence is not known are left out, as between looks further apart.
    """
    days: dict[When, Counter[float]] = {}
    for record in records:
        if record.kind == ON and not record.why_not and record.pupa.pupated is not None and _to_a_day(record):
            days.setdefault(record.pupa.pupated, Counter())[record.low] += 1
    pairs = {when: _pairs(sum(of.values())) for when, of in days.items()}
    pairs = {when: number for when, number in pairs.items() if number}
    total = sum(pairs.values())
    same = sum(_pairs(number) for of in days.values() for number in of.values())
    if not total:
        return Siblings(0, 0, np.nan, np.nan, profile.sibling_spread)

    some = sorted(pairs, key=lambda when: when.earliest)[:: -(-len(pairs) // MOST_DAYS)]

    def foretold(spread: float) -> float:
        one = replace(profile, sibling_spread=spread)
        shares = []
        for when in some:
            both = unconditional(one, curve, profile.key, when)
            shares.append(pairs[when] * same_day(both, both))
        return sum(shares) / sum(pairs[when] for when in some)

    before = foretold(profile.sibling_spread)
    if total < LEAST_PAIRS:
        return Siblings(total, same, before, before, profile.sibling_spread)
    wanted = (same + PRIOR_PAIRS * before) / (total + PRIOR_PAIRS)
    shares = [foretold(spread) for spread in SPREADS]
    spread = float(np.interp(-wanted, [-share for share in shares], SPREADS))
    return Siblings(total, same, before, foretold(spread), round(spread, 3))


def _to_a_day(record: Record) -> bool:
    """Whether its pupation and its emergence are known to about a day."""
    first, last = record.pupa.pupated.span if record.pupa.pupated else (EPOCH, EPOCH)
    return record.high - record.low <= A_DAY and (last - first) / timedelta(days=1) <= A_DAY


def _pairs(number: int) -> int:
    return number * (number - 1) // 2
