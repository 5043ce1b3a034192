"""Ways of hanging that ask no solver: what a keeper without a planner might do."""

from __future__ import annotations

import random
from collections.abc import Mapping
from itertools import zip_longest

from simulated_run import GAP, Evening, Policy

LATEST = 7  # days after pupation, by which one must hang


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


def patient(policy: Policy) -> Policy:
    """The same, but whoever would clash where it is to hang stays in the tub for an evening more.

    Not for ever: it must hang before it may be darkening.
    """

    def waiting(evening: Evening) -> Mapping[str, int]:
        at, found = evening.at, dict[str, int]()
        for one, spot in policy(evening).items():
            pupated = evening.newcomers[one]
            near = (at[s] for s in evening.rack.near[spot] if s in at)
            if evening.day >= pupated + LATEST or not any(abs(day - pupated) < GAP for day in near):
                at[spot], found[one] = pupated, spot
        return found

    return waiting


def _one_by_one(evening: Evening, free: list[int]) -> Mapping[str, int]:
    at, found = evening.at, dict[str, int]()
    for one, pupated in evening.newcomers.items():

        def clashes(spot: int) -> int:
            near = evening.rack.near[spot]
            return sum(abs(at[s] - pupated) < GAP for s in near if s in at)  # noqa: B023

        spot = min((s for s in free if s not in at), key=clashes)  # the first of the least
        at[spot], found[one] = pupated, spot
    return found
