"""Do the 90 % intervals hold 90 %, and does learning help? By simulation; run by hand.

    python tests/bench/calibration.py --seasons 100

Each season draws its true requirement and spread from what the profile says is possible, then a day's error
for every pupation day and each pupa's own. The pupae go through the whole path: rows by the day, a file of
temperatures, ``learn``, ``accept``, and forecasts of pupae that came later. One row in twenty died; the last
ones are still hanging.
"""

from __future__ import annotations

import argparse
import tempfile
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from planner.emergence import accept, learn, predict_all, profile_of, shipped
from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.prior import LOG_SPREAD
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

SIZES = (0, 5, 30, 200)
FIRST = date(2027, 6, 1)
LATER = 20  # pupae to forecast, two a day
MONARCH = shipped()["monarch"]


@dataclass(frozen=True)
class Result:
    """Of one season: how many of its later pupae the intervals hold, and the errors, in days."""

    covered: float
    covered_before: float
    error: float
    error_before: float
    width: float


def simulate(records: int, rng: np.random.Generator, folder: Path) -> Result:
    """One season with so many records."""
    folder.mkdir()
    # Daily extremes of a summer with weather: 22 °C on the average, lasting spells of 3 °C more or less.
    weather = np.zeros(150)
    for i in range(1, len(weather)):
        weather[i] = 0.7 * weather[i - 1] + rng.normal(0, 2)
    rows = [
        f"{FIRST + timedelta(days=i)},{22 + w - 5:.1f},{22 + w + 5:.1f}\n"
        for i, w in enumerate(weather.tolist())
    ]
    (folder / "temperatures.csv").write_text("date,min,max\n" + "".join(rows), encoding="utf-8")
    readings = (folder / "temperatures.csv").read_bytes()
    season = Season(
        folder=folder, name="simulated", constant=22.0, temperature_file="temperatures.csv", readings=readings
    )
    curve = curve_of(season, MONARCH)
    before = profile_of(season, "monarch")  # counted by daily extremes
    spread2 = (before.requirement * before.spread) ** 2
    mean = rng.normal(before.requirement, np.sqrt(spread2 * before.season_share))
    within = np.sqrt(spread2 * (1 - before.season_share)) * np.exp(rng.normal(-(LOG_SPREAD**2), LOG_SPREAD))
    ratio = before.day_share / (1 - before.season_share)

    def hatch(days: np.ndarray) -> np.ndarray:
        of_day = {d: rng.normal(0, within * np.sqrt(ratio)) for d in set(days.tolist())}
        need = (
            mean
            + np.array([of_day[d] for d in days.tolist()])
            + rng.normal(0, within * np.sqrt(1 - ratio), len(days))
        )
        start = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + days + rng.random(len(days))
        return curve.when(curve.at(start) + need)

    days = np.sort(rng.integers(0, max(2, min(25, records // 2)), records))
    ready = hatch(days)
    end = np.floor(np.quantile(ready, 0.95)) if records else 0.0
    on = EPOCH + timedelta(days=float(end))
    pupae = [
        Pupa(
            id=f"r{i}", species="monarch", place="lid",
            pupated=When(FIRST + timedelta(days=int(d))),
            outcome=("failed" if rng.random() < 0.05 else "emerged") if r < end else None,
            ended=When((EPOCH + timedelta(days=r)).date()) if r < end else None,
        )
        for i, (d, r) in enumerate(zip(days.tolist(), ready.tolist(), strict=True))
    ]  # fmt: skip
    season = Season(
        folder=folder,
        name="simulated",
        constant=22.0,
        temperature_file="temperatures.csv",
        readings=readings,
        pupae=tuple(pupae),
    )
    later_days = 30 + np.arange(LATER) // 2
    truth = hatch(later_days)
    later = [
        Pupa(id=f"l{i}", species="monarch", place="lid", pupated=When(FIRST + timedelta(days=int(d))))
        for i, d in enumerate(later_days.tolist())
    ]
    unlearned = _judge(season, later, truth)
    learned = learn(season, on)
    if learned:  # without a record there is nothing to accept
        accept(folder, learned, on.date())
        season = replace(season, learned=(folder / "learned.yaml").read_bytes())
    after = _judge(season, later, truth)
    return Result(after[0], unlearned[0], after[1], unlearned[1], after[2])


def _judge(season: Season, pupae: list[Pupa], truth: np.ndarray) -> tuple[float, float, float]:
    """Share of moments within the interval, mean absolute error of the median in days, mean width."""
    dues = [due for due in predict_all(season, pupae) if due is not None]
    low, median, high = (
        np.array([days_from_epoch(moment) for moment in moments])
        for moments in zip(*((d.low, d.median, d.high) for d in dues), strict=True)
    )
    inside = (low <= truth) & (truth <= high)
    return float(inside.mean()), float(np.abs(median - truth).mean()), float((high - low).mean())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seasons", type=int, default=500)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for size in SIZES:
            results = [
                simulate(size, np.random.default_rng([size, i]), Path(folder) / f"{size}-{i}")
                for i in range(arguments.seasons)
            ]
            columns = {
                name: np.array([getattr(r, name) for r in results]) for name in Result.__dataclass_fields__
            }
            mean = {name: column.mean() for name, column in columns.items()}
            error = {name: column.std() / np.sqrt(len(column)) for name, column in columns.items()}
            better = columns["error_before"] - columns["error"]
            print(
                f"{size:4} records: covered {mean['covered']:.3f} ± {error['covered']:.3f}"
                f" (before {mean['covered_before']:.3f}); mean absolute error {mean['error']:.3f} d,"
                f" {better.mean():.3f} ± {better.std() / np.sqrt(len(better)):.3f} better than before;"
                f" interval {mean['width']:.2f} d wide",
                flush=True,
            )


if __name__ == "__main__":
    main()
