"""Do the intervals hold outdoors, where the weather to come is not known? By simulation; run by hand.

    python tests/bench/simulated_weather.py --seasons 200

Each season draws a year of daily temperatures of one of several climates (`simulated_climates`), of which
the program knows nothing, and one pupa for each month. The readings end on the day of pupation, or two days
later.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np
from outdoors import Outdoors
from simulated_climates import FRESH, LOOKED_AT, MADE_BY, TOWN, VILLAGE, Climate, Lot, extremes, hourly

MONTHS = {5: "May", 6: "Jun", 7: "Jul", 8: "Aug", 9: "Sep"}
SOUTH = {11: "Nov", 12: "Dec", 1: "Jan", 2: "Feb", 3: "Mar"}


def seasons(
    climate: Climate | Lot, number: int, later: int, seed: int
) -> Iterator[tuple[int, bool, bool, float, float]]:
    """Month, whether the 90 % and the central 50 % interval hold, error and width in days, of each pupa.

    By a Lot the climate of each season is drawn. Months are 0 to 4, the first and last of the warm season.
    """
    for one in range(number):
        rng = np.random.default_rng([seed, one, later, _key(climate.name)])
        here = climate.draw(rng) if isinstance(climate, Lot) else climate
        low, high = extremes(here, rng)
        first, months = date(2027, 1, 1), list(MONTHS)
        if here.zone == "Australia/Sydney":
            first, months = date(2026, 7, 1), list(SOUTH)
            low, high = np.roll(low, -181), np.roll(high, -181)  # from July on; long after the last month
        told = low + here.off[0], high + here.off[1]
        place = Outdoors(first, hourly(here, low, high), *told, here.zone, here.species, here.known)
        for k, month in enumerate(months):
            day = date(first.year + (month < first.month), month, int(rng.integers(1, 29)))
            yield k, *place.judged(day, later, rng)


def _key(name: str) -> int:
    """A number of its own, so that no two climates share their chances."""
    return sum(31**k * ord(letter) for k, letter in enumerate(name)) % 2**31


def report(number: int, names: Sequence[str], seed: int, every: Sequence[int]) -> None:
    """Print a line for each climate; ``names``: of climates or of their groups, none for all."""
    groups = {"made by": MADE_BY, "looked at": (*LOOKED_AT, TOWN), "fresh": (*FRESH, VILLAGE)}
    names = [*names, *(one.name for name in names for one in groups.get(name, ()))]
    for later in every:
        print(
            f"readings end {later} days after pupation: 90 % / 50 % interval held; median error; median width"
        )
        every_one = []
        for climate in (climate for group in groups.values() for climate in group):
            if names and climate.name not in names:
                continue
            found = list(seasons(climate, number, later, seed))
            print(_line(climate.name, found), flush=True)
            every_one += found
        print(_line("all of these", every_one), flush=True)


def _line(name: str, found: Sequence[tuple[int, bool, bool, float, float]]) -> str:
    """One row of the report, a cell for each month."""
    cells = []
    for place, month in enumerate(MONTHS.values()):
        of = [one for one in found if one[0] == place]
        error, width = (np.nanmedian(np.abs([one[k] for one in of])) for k in (3, 4))
        cells.append(f"{month} {_held(of)} {error:4.1f} {width:5.1f} d")
    return f"  {name:24} {_held(found)}:  {';  '.join(cells)}"


def _held(found: Sequence[tuple[int, bool, bool, float, float]]) -> str:
    """Percent of the pupae of which the two intervals held: `` 91/49``."""
    return "/".join(f"{100 * np.mean([one[k] for one in found]):2.0f}" for k in (1, 2))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seasons", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--later", type=int, action="append", help="days after pupation: 0 and 2")
    parser.add_argument(
        "--climate", action="append", default=[], help="of these only; or: made by, looked at, fresh"
    )
    arguments = parser.parse_args()
    report(arguments.seasons, arguments.climate, arguments.seed, arguments.later or (0, 2))


if __name__ == "__main__":
    main()
