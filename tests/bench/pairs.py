"""Do two of one pupation day emerge on one day as often as is foretold, once ten pairs are recorded?

    python tests/bench/pairs.py --seasons 200

By simulation; run by hand. In each season pupae are more or less alike than the profile says: a factor makes
smaller or larger what their own requirements and hours of pupation differ by. Batches of three pupate every
other day. From the first of them is learned; the last FRESH tell what is true. The share foretold is to lie
within the 95 % interval (Wilson) of the share among the pairs recorded.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import numpy as np
from keepers import DAY_SHARE, FIRST, HERE, ROOM, SHARED, WITHIN, K

from planner.emergence import learn, shipped
from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.distribution import unconditional
from planner.emergence.drying import same_day
from planner.season.pupae import Pupa
from planner.season.reading.when import When

BATCH, FRESH, Z = 3, 10, 1.96
MONARCH = shipped()["monarch"]
CURVE = curve_of(HERE, MONARCH)
ALIKE = (0.1, 0.4, 0.8, 1.2)


def seasons(number: int, batches: int, alike: float) -> Iterator[tuple[float, float, float, bool]]:
    """Share foretold by the profile and after learning, share seen later, and whether it is within."""
    start = days_from_epoch(EPOCH.combine(FIRST, EPOCH.time()))
    for one in range(number):
        rng = np.random.default_rng([one, batches, int(100 * alike)])
        mean = rng.normal(K, SHARED)
        pupae, later = list[Pupa](), list[float]()
        for day in range(0, 2 * (batches + FRESH), 2):
            when = When(FIRST + timedelta(days=day))
            need = mean + rng.normal(0, WITHIN * np.sqrt(DAY_SHARE))
            need = need + alike * rng.normal(0, WITHIN * np.sqrt(1 - DAY_SHARE), BATCH)
            hour = np.clip(rng.random() + alike * (rng.random(BATCH) - 0.5), 0, 0.999)
            out = np.floor(start + day + hour + need / (ROOM - MONARCH.lower))
            if day >= 2 * batches:
                later += [a == b for a, b in combinations(out.tolist(), 2)]
                continue
            pupae += [
                Pupa(id=f"p{day}-{i}", species="monarch", place="lid", pupated=when, outcome="emerged",
                     ended=When((EPOCH + timedelta(days=end)).date()))
                for i, end in enumerate(out.tolist())
            ]  # fmt: skip
        on = EPOCH + timedelta(days=start + 200)
        found = learn(replace(HERE, pupae=tuple(pupae)), on)[0]
        of, said = found.siblings, _foretold(found.siblings.spread, found.after)
        yield of.before, said, float(np.mean(later)), _within(said, of.same / of.pairs, of.pairs)


def _foretold(spread: float, after) -> float:
    profile = replace(MONARCH.taking(after), sibling_spread=spread)
    both = unconditional(profile, CURVE, "monarch", When(FIRST + timedelta(days=60)))
    return same_day(both, both)


def _within(said: float, seen: float, pairs: int) -> bool:
    return abs(said - seen) <= Z * np.sqrt(
        said * (1 - said) / pairs
    )  # the same as Wilson's interval about seen


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seasons", type=int, default=200)
    arguments = parser.parse_args()
    for alike in ALIKE:
        for batches in (4, 20):
            found = np.array(list(seasons(arguments.seasons, batches, alike)))
            before, after, seen, within = found.mean(axis=0)
            give = found[:, 2].std() / np.sqrt(len(found))
            print(
                f"alike {alike}, {batches * BATCH} pairs: by the profile {before:.2f}, learned {after:.2f} "
                f"(sd {found[:, 1].std():.2f}), seen {seen:.3f} ± {give:.3f}; within {100 * within:.0f} %",
                flush=True,
            )


if __name__ == "__main__":
    main()
