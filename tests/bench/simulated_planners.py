"""Hangplan's own ways through a season: the whole ``make_plan`` every evening, on a season in memory."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, time, timedelta
from functools import cache
from pathlib import Path

from simulated_run import Evening, Policy
from simulated_world import CONSTANT, EVENING, FIRST, MONARCH, Rack

from planner.emergence import distribution
from planner.planning.make_plan import make_plan
from planner.season import Expected, Pupa, Season, When

SECONDS = 60.0  # for one evening's plan; one worker, so that a seed gives the same season again


def planner(*, soft: bool, expected: bool, rehang: bool = False, evenings: int | None = 1) -> Policy:
    """Plan each evening anew.

    ``soft``: whether it is told of the pupae that are not firm yet; ``expected``: of those seen to come;
    ``rehang``: whether those that hang may be moved for a newcomer's sake; ``evenings``: over how
    many is planned, so that newcomers may be left in the tub; None: as many as are needed.
    """

    def policy(evening: Evening) -> Mapping[str, int]:
        season = season_of(evening, soft=soft, expected=expected)
        on = datetime.combine(FIRST + timedelta(days=evening.day), time(EVENING))
        plan = make_plan(season, on, workers=1, seconds=SECONDS, rehang=rehang, evenings=evenings)
        number = numbers(evening.rack)
        return {
            hang.pupa: number[hang.place, hang.spot]
            for hang in plan.hangs
            if hang.from_place is not None and (hang.place, hang.spot) in number
        }

    return policy


@cache
def numbers(rack: Rack) -> dict[tuple[str, str], int]:
    """Place and tag → number of the spot."""
    return {(spot.place, spot.tag): i for i, spot in enumerate(rack.spots)}


def season_of(evening: Evening, *, soft: bool, expected: bool) -> Season:
    """What the keeper has written down by this evening."""

    def when(day: int) -> When:
        return When(FIRST + timedelta(days=day))

    def pupa(name: str, pupated: int, place: str, spot: str | None = None) -> Pupa:
        return Pupa(id=name, species="monarch", pupated=when(pupated), place=place, spot=spot)

    spots = evening.rack.spots
    pupae = [pupa(i, d, spots[s].place, spots[s].tag) for i, (d, s) in evening.hung.items()]
    pupae += [pupa(i, d, "tub") for i, d in evening.newcomers.items()]
    if soft:
        pupae += [pupa(f"s{d}n{k}", d, "tub") for d, n in evening.soft.items() for k in range(n)]
    return Season(
        folder=Path(evening.rack.name),
        name="simulated",
        constant=CONSTANT,
        places=evening.rack.places,
        pupae=tuple(pupae),
        expected=tuple(
            Expected(FIRST + timedelta(days=d), n, MONARCH.name)
            for d, n in (evening.expected.items() if expected else ())
        ),
    )


def share_forecasts() -> None:
    """Reckon the distribution of a day of pupation once in a process: a constant temperature changes nothing.

    Only for speed; what is known of a pupa beyond its pupation is still taken in each evening.
    """
    reckoned = distribution.unconditional
    known: dict[tuple[str, When], distribution.Emergence] = {}

    def unconditional(profile, curve, species, pupated):  # type: ignore[no-untyped-def]
        if (species, pupated) not in known:
            known[species, pupated] = reckoned(profile, curve, species, pupated)
        return known[species, pupated]

    distribution.unconditional = unconditional
