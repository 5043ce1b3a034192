"""Random seasons planned, half carried out, and planned again, three times; judged by the verifier.

    python tests/bench/three_evenings.py 0 1000

Lines, yarns, a board and lids, perhaps in reach of one another; some hang already, some are soft, dark, told
to stay or without a date, some are to come; a gap or a chance; with every option of `plan`, and with time
enough or hardly any. A seed says everything but what the clock ends.
"""

from __future__ import annotations

import argparse
import sys
import traceback
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "planning")]

from season_world import day, line, pupa, season, tub  # noqa: E402

from planner.planning.make_plan import make_plan  # noqa: E402
from planner.rack.spots import positions  # noqa: E402
from planner.season import Board, Expected, Line, Place, Plan, Pupa, Season, When  # noqa: E402
from planner.verify import verify  # noqa: E402

REACH = {"lowest": 40, "highest": 190}


def any_season(rng: Random) -> Season:
    """Up to two lines, a board, two lids, and some twenty pupae."""
    places = [*_places(rng)]
    pupae = [*_hung(rng, places), *_on_lids(rng, places)]
    odd = ("slow", "painted-lady", "large-white")
    pupae = [replace(p, species=rng.choice(odd)) if rng.random() < 0.2 else p for p in pupae]
    stated: dict[str, Any] = {
        "expected": tuple(
            Expected(date(2027, 7, number), rng.randint(1, 3), rng.choice(["monarch", "painted-lady"]))
            for number in rng.sample(range(8, 15), rng.randint(0, 3))
        ),
        "elbow_room": rng.choice([None, 0, 3, 8]),
        "rehang_price": rng.choice([1, 3]),
    }
    if rng.random() < 0.25:
        stated["risk"] = rng.choice([0.05, 0.1, 0.2, 0.4])
    return season(places, pupae, **REACH, **stated)


def _places(rng: Random) -> Iterator[Place]:
    def at() -> dict[str, float | None]:
        return {side: rng.choice([None, None, 0, 5, 9, 20]) for side in ("left", "front")}

    for name in ("n", "s")[: rng.randint(1, 2)]:
        marks = {"clips_every": rng.choice([3, 4, 5, 8])}
        slides = {
            "clips_every": None,
            "clip_width": rng.choice([2, 3, 4]),
            "to_nearest": rng.choice([0.5, 1]),
        }
        yield line(name, rng.randint(3, 16), **at(), **rng.choice([marks, slides]))
    if rng.random() < 0.5:
        yield Board(
            name="cork", width=10 * rng.randint(1, 3), height=10 * rng.randint(1, 4),
            pins_every=rng.choice([5, 7, 10]), bottom=rng.choice([60, 100, 140]),
            pattern=rng.choice(["staggered", "square"]), **at(),
        )  # fmt: skip
    for name in ("tub", "tub2")[: rng.randint(1, 2)]:
        yield tub(name, clear=rng.random() < 0.5, height=140, **at())


def _hung(rng: Random, places: list[Place]) -> Iterator[Pupa]:
    """A part of the spots taken, as far as clips have their width."""
    spots = [s for those in positions(season(places, [], **REACH)).values() for s in those if not s.unusable]
    taken: list[tuple[str, float]] = []
    of_name = {place.name: place for place in places}
    for k, spot in enumerate(rng.sample(spots, round(len(spots) * rng.choice([0, 0.2, 0.4, 0.8])))):
        place = of_name[spot.place]
        if isinstance(place, Line) and place.clip_width is not None:
            if any(name == spot.place and abs(x - spot.x) < place.clip_width for name, x in taken):
                continue
            taken.append((spot.place, spot.x))
        pupated = rng.randint(1, 8) if rng.random() < 0.95 else None
        more = {"stay": rng.random() < 0.1, "darkening": day(9) if rng.random() < 0.07 else None}
        yield pupa(f"h{k}", pupated, place=spot.place, spot=spot.tag, hung=day(8), **more)


def _on_lids(rng: Random, places: list[Place]) -> Iterator[Pupa]:
    points = [(x, y) for x in range(1, 40, 3) for y in range(1, 28, 3)]
    for lid in (place.name for place in places if place.name.startswith("tub")):
        for k, (x, y) in enumerate(rng.sample(points, rng.randint(1, 7))):
            more = {"x": x, "y": y} if rng.random() < 0.7 else {}
            pupated = rng.choice([3, 5, 6, 7, 7, 8, 8, 9]) if rng.random() < 0.93 else None
            yield pupa(f"m{lid[3:]}{k}", pupated, place=lid, stay=rng.random() < 0.12, **more)


def carried_out(case: Season, plan: Plan, rng: Random) -> Season:
    """The season after some of a plan's moves, in their order."""
    where = {m.pupa: (m.to_place, m.to_spot) for m in plan.moves[: rng.randint(0, len(plan.moves))]}

    def moved(p: Pupa) -> Pupa:
        if p.id not in where:
            return p
        place, spot = where[p.id]
        return replace(p, place=place, spot=spot, x=None, y=None, hung=When(plan.on.date()))

    return replace(case, pupae=tuple(map(moved, case.pupae)))


def faults(seed: int) -> list[str]:
    """What the verifier has against any of three plans in a row."""
    rng = Random(seed)
    case, before = any_season(rng), None
    on = datetime(2027, 7, 9, rng.randint(0, 23), rng.choice([0, 30]))
    rehang, widest = rng.random() < 0.4, rng.random() < 0.25
    evenings = rng.choice([1, None, None, 2, 3, 6])
    for turn in range(3):
        plan = make_plan(
            case, on, before=before, rehang=rehang, widest=widest, evenings=evenings,
            seconds=rng.choice([4, 4, 1, 0.1]), seed=rng.randint(0, 3), workers=1,
        )  # fmt: skip
        if found := [f"plan {turn + 1}: {breach}" for breach in verify(case, plan)]:
            return found
        case, before = carried_out(case, plan, rng), plan
        on += timedelta(hours=rng.choice([1, 1, 3, 24, 30]))
        rehang = rehang != (rng.random() < 0.3)
    return []


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int)
    parser.add_argument("last", type=int, help="not included")
    given = parser.parse_args()
    faulty = 0
    for seed in range(given.first, given.last):
        try:
            found = faults(seed)
        except Exception:  # whatever it is, the next season is tried
            found = [traceback.format_exc()]
        faulty += bool(found)
        for one in found:
            print(f"{seed}: {one}", flush=True)
    print(f"{given.last - given.first} seasons, {faulty} with faults")


if __name__ == "__main__":
    main()
