"""How far off dates are by a thermometer that is read now and then; run by hand.

    python tests/bench/reading_rhythms.py --seasons 12

Monarchs that pupated on the sixteenth of 33 days, all of whose life is measured. Days are waves, or drawn
out: they warm up in 10 h and cool in 14. Prints the table of docs/prediction.md, *Readings hours apart*.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from planner.emergence import predict, shipped
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

FIRST, DAYS, PUPATED = datetime(2027, 6, 1), 33, 15 * 24 + 12  # hours from FIRST
RHYTHMS: dict[str, Sequence[int]] = {
    "8, 20 h": (8, 20),
    "8, 14, 20 h": (8, 14, 20),
    "7, 12, 17, 22 h": (7, 12, 17, 22),
    "each hour from 6 to 23 h": range(6, 24),
    "9, 13, 17 h": (9, 13, 17),
    "8, 16 h": (8, 16),
    "7, 22 h": (7, 22),
}
PERSISTENCE, ANOMALY = 0.7, 1.5  # of the daily mean; °C
COLDEST, WARMEST = 5, 15  # hours of a drawn-out day


def wave(hour: float) -> float:
    return math.cos((hour - WARMEST) / 12 * math.pi)


def drawn_out(hour: float) -> float:
    if COLDEST <= hour <= WARMEST:
        return -math.cos((hour - COLDEST) / (WARMEST - COLDEST) * math.pi)
    return math.cos((hour - WARMEST) % 24 / 14 * math.pi)


def weather(mean: float, half: float, shape: Callable[[float], float], seed: int) -> Callable[[float], float]:
    """The temperature (°C) so many hours after FIRST: a mean that persists, and the course of each day."""
    rng, anomaly = np.random.default_rng(seed), [0.0]
    for _ in range(2 * DAYS):
        step = rng.normal() * ANOMALY * math.sqrt(1 - PERSISTENCE**2)
        anomaly.append(PERSISTENCE * anomaly[-1] + step)

    def at(hour: float) -> float:
        return mean + float(np.interp(hour / 24, range(len(anomaly)), anomaly)) + half * shape(hour % 24)

    return at


def error(at: Callable[[float], float], hours: Sequence[int]) -> float:
    """Days by which the date by such readings is late."""
    read = [24 * day + hour for day in range(DAYS) for hour in hours]
    rows = (f"{(FIRST + timedelta(hours=h)).isoformat(timespec='minutes')},{at(h):.1f}\n" for h in read)
    season = Season(
        folder=Path("/nowhere"), name="rhythm", constant=None, temperature_file="temperatures.csv",
        readings=("time,temperature\n" + "".join(rows)).encode(),
    )  # fmt: skip
    pupated = FIRST + timedelta(hours=PUPATED)
    due = predict(
        season, Pupa(id="p", species="monarch", place="lid", pupated=When(pupated.date(), pupated.time()))
    )
    assert due is not None
    return (due.median - truth(at)) / timedelta(days=1)


def truth(at: Callable[[float], float]) -> datetime:
    """When the requirement is reached, by steps of a quarter of an hour."""
    profile, hour, gathered = shipped()["monarch"], float(PUPATED), 0.0
    while gathered < profile.requirement:
        gathered += max(0.0, min(at(hour + 1 / 8), profile.upper) - profile.lower) / 96
        hour += 1 / 4
    return FIRST + timedelta(hours=hour)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seasons", type=int, default=12)
    seeds = range(parser.parse_args().seasons)
    kinds = [(mean, half, shape) for shape in (wave, drawn_out) for mean, half in ((24, 3), (21, 7))]
    print("| read at | " + " | ".join(f"{shape.__name__}, {m} ± {h} °C" for m, h, shape in kinds) + " |")
    print("|---|" + "---|" * len(kinds))
    for name, hours in RHYTHMS.items():
        cells = [np.mean([error(weather(*kind, seed), hours) for seed in seeds]) for kind in kinds]
        print(f"| {name} | " + " | ".join(f"{cell:+.2f}" for cell in cells) + " |", flush=True)


if __name__ == "__main__":
    main()
