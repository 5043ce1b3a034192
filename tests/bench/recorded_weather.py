"""Do the intervals hold in the weather of a real town? By its recorded daily extremes; run by hand.

    python tests/bench/recorded_weather.py --each 10

The weather is recorded, the pupae are drawn: each needs what its profile says, give or take its spread, and
lives through sine waves between the extremes. The program is told the days up to the pupation, or two
later. `tests/external/test_recorded_weather.py` says where the record comes from.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
from outdoors import Judged, Outdoors
from simulated_climates import Climate, hourly
from simulated_weather import MONTHS

TOWN = Path(__file__).parents[1] / "external" / "data" / "weather" / "clemson.csv"


def years(file: Path, zone: str, species: str, known: int) -> Iterator[Outdoors]:
    """Each year of a table of daily extremes in °F; a day that is missing is that between its neighbours."""
    of_year: defaultdict[int, dict[date, tuple[float, float]]] = defaultdict(dict)
    with file.open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table):
            day = date.fromisoformat(row["date"])
            of_year[day.year][day] = float(row["min_F"]), float(row["max_F"])
    for days in of_year.values():
        first, last = min(days), max(days)
        at = [(day - first).days for day in days]
        every = range((last - first).days + 1)
        extremes = (np.array(list(days.values())) - 32) / 1.8
        low, high = (np.interp(every, at, extremes[:, k]) for k in (0, 1))
        lived = hourly(Climate("recorded", species, 0, 0, 0), low, high)
        yield Outdoors(first, lived, low, high, zone, species, known)


def judged(year: Outdoors, month: int, each: int, later: int, rng: np.random.Generator) -> Iterator[Judged]:
    """So many pupae of one month of a year, on days drawn by lot."""
    for _ in range(each):
        day = date(year.first.year, month, 1) + timedelta(days=int(rng.integers(28)))
        yield year.judged(day, later, rng)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--file", type=Path, default=TOWN, help="date,min_F,max_F, each year from 1 March on")
    parser.add_argument("--zone", default="America/New_York")
    parser.add_argument("--species", default="monarch")
    parser.add_argument("--known", type=int, default=30, help="days measured before the pupation")
    parser.add_argument("--each", type=int, default=5, help="pupae for each month of a year")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    every = list(years(given.file, given.zone, given.species, given.known))
    for later in (0, 2):
        rng = np.random.default_rng([given.seed, later])
        print(f"readings end {later} days after pupation: percent held by 90 % and 50 %, ± by years; bias")
        whole = []
        for month, name in MONTHS.items():
            found = [list(judged(year, month, given.each, later, rng)) for year in every]
            print(f"  {name}  {_told(found)}", flush=True)
            whole += found
        print(f"  all  {_told(whole)}")


def _told(found: list[list[Judged]]) -> str:
    """Shares held, with standard errors by years: those of one year share its weather."""
    shares = []
    for k in (0, 1):
        of_year = [float(np.mean([one[k] for one in year])) for year in found]
        error = np.std(of_year, ddof=1) / np.sqrt(len(of_year))
        shares.append(f"{100 * np.mean(of_year):.0f} ± {100 * error:.1f}")
    errors = [one[2] for year in found for one in year if np.isfinite(one[2])]
    return f"{shares[0]} / {shares[1]}; {np.mean(errors):+.1f} d"


if __name__ == "__main__":
    main()
