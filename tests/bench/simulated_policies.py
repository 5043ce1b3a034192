"""Ways of hanging that ask no solver: what a keeper without a planner might do."""

from __future__ import annotations

import random
from collections.abc import Mapping
from itertools import zip_longest

from simulated_run import GAP, Evening, Policy


def first_fit(evening: Evening) -> Mapping[str, int]:
    """The first free spot in order where it clashes with nobody, else that with the fewest clashes."""
    return _one_by_one(evening, evening.free)


def at_random(seed: int) -> Policy:
    """A free spot at random where it clashes with nobody, else one of those with the fewest clashes."""
    rng = random.Random(seed)

    def policy(evening: Evening) -> Mapping[str, int]:
        free = evening.free
        rng.shuffle(free)
        return _one_by_one(evening, free)

    return policy


def deal(evening: Evening) -> Mapping[str, int]:
    """A person's way: each to the next line in turn, on its first free spot; boards by rows."""
    free = set(evening.free)
    rows = [[spot for spot in row if spot in free] for row in evening.rack.rows]
    turn = evening.day % len(rows)  # another row begins each evening
    in_turn = [s for those in zip_longest(*rows[turn:], *rows[:turn]) for s in those if s is not None]
    return dict(zip(evening.newcomers, in_turn, strict=False))


def _one_by_one(evening: Evening, free: list[int]) -> Mapping[str, int]:
    at, found = evening.at, dict[str, int]()
    for one in evening.newcomers:

        def clashes(spot: int) -> int:
            near = evening.rack.near[spot]
            return sum(abs(at[s] - evening.pupated) < GAP for s in near if s in at)

        spot = min((s for s in free if s not in at), key=clashes)  # the first of the least
        at[spot], found[one] = evening.pupated, spot
    return found
