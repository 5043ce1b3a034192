"""Hangplan's own ways through a season: the whole ``make_plan`` every evening, on a season in memory."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from functools import cache
from pathlib import Path
from unittest.mock import patch

from simulated_run import Evening, Policy
from simulated_world import CONSTANT, EVENING, FIRST, MONARCH, Rack

from planner.emergence import distribution
from planner.planning.make_plan import make_plan
from planner.planning.problem.arrivals import LookAhead
from planner.season import Expected, Plan, Pupa, Season, When

SECONDS = 60.0  # for one evening's plan; one worker, so that a seed gives the same season again


def planner(
    *,
    soft: bool,
    expected: bool,
    rehang: bool = False,
    evenings: int | None = 1,
    without: str | None = None,
) -> Policy:
    """Plan each evening anew.

    ``soft``: whether it is told of the pupae that are not firm yet; ``expected``: of those seen to come;
    ``rehang``: whether those that hang may be moved for a newcomer's sake; ``evenings``: over how
    many is planned, so that newcomers may be left in the tub; None: as many as are needed; ``without``: a
    level that is left out.
    """

    def policy(evening: Evening) -> Mapping[str, int]:
        season = season_of(evening, soft=soft, expected=expected)
        with left_out(without):
            plan = make_plan(
                elbows_free(season, without), evening_of(evening.day),
                workers=1, seconds=SECONDS, rehang=rehang, evenings=evenings,
            )  # fmt: skip
        return moved(plan, evening)

    return policy


def evening_of(day: int) -> datetime:
    return datetime.combine(FIRST + timedelta(days=day), time(EVENING))


def moved(plan: Plan, evening: Evening) -> dict[str, int]:
    """Id → spot, of those whom a plan moves, in the order of its moves."""
    number = numbers(evening.rack)
    where = {
        hang.pupa: number[hang.place, hang.spot]
        for hang in plan.hangs
        if hang.from_place is not None and (hang.place, hang.spot) in number
    }
    return {pupa: where[pupa] for pupa in dict.fromkeys(move.pupa for move in plan.moves)}


@contextmanager
def left_out(level: str | None) -> Iterator[None]:
    """Plans made meanwhile do without that level: no spot is reserved, or no chance counts."""
    with ExitStack() as stack:
        if level == "room":
            nobody = patch("planner.planning.problem.season_problem.look_ahead", lambda *_: LookAhead())
            stack.enter_context(nobody)
        if level == "risk":
            stack.enter_context(patch("planner.planning.problem.drying.thousandths", lambda _: 0))
        yield


def elbows_free(season: Season, level: str | None) -> Season:
    """The season, without elbow room where that is the level left out."""
    return replace(season, elbow_room=0.0) if level == "elbow room" else season


@dataclass
class Interrupted:
    """Each evening half of the moves are made; an hour later a plan is made again, and the rest are.

    ``stable``: whether the second plan is told of the first. ``reprinted``: moves of all first plans that had
    another spot, or none, in the second one: their tags were printed in vain.
    """

    stable: bool
    reprinted: int = 0

    def __call__(self, evening: Evening) -> Mapping[str, int]:
        on = evening_of(evening.day)
        season = season_of(evening, soft=True, expected=True)
        first = make_plan(season, on, workers=1, seconds=SECONDS)
        planned = moved(first, evening)
        done = dict(list(planned.items())[: -(-len(planned) // 2)])
        hung = {**evening.hung, **{i: (evening.newcomers[i], spot) for i, spot in done.items()}}
        waiting = {i: day for i, day in evening.newcomers.items() if i not in done}
        if not waiting:
            return done
        later = replace(evening, hung=hung, newcomers=waiting)
        season = season_of(later, soft=True, expected=True)
        before = first if self.stable else None
        again = make_plan(season, on + timedelta(hours=1), workers=1, seconds=SECONDS, before=before)
        rest = moved(again, later)
        self.reprinted += sum(i not in done and rest.get(i) != spot for i, spot in planned.items())
        return {**done, **rest}


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
