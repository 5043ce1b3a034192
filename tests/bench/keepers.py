"""Do intervals hold for keepers as they are: drifting and foreign populations, seasons in a row, and looks?

    python tests/bench/keepers.py --seasons 200
    python tests/bench/keepers.py --seasons 40 --drifts      # how the rates of drift were chosen

By simulation, at one known temperature; run by hand. In each season the true mean requirement and spread are
drawn from what the profile says is possible, then a day's error for every pupation day and each pupa's own.
Pupae of thirty days are learned from, and those of the eight days after forecast on the last of these, when
none of them has emerged. Covered: within the 90 % interval.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from planner.emergence import shipped
from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.posterior import DRIFTS, Posterior, posterior
from planner.emergence.predict import predict_from
from planner.emergence.prior import KEEPER_SHARE, LOG_SPREAD, Prior, carried
from planner.emergence.records import evidence_of, records_of
from planner.season.pupae import Pupa
from planner.season.reading.looks import Looks
from planner.season.reading.when import When
from planner.season.season import Season

MONARCH = shipped()["monarch"]
K = MONARCH.requirement
SHARED = K * MONARCH.spread * np.sqrt(MONARCH.season_share)
WITHIN = K * MONARCH.spread * np.sqrt(1 - MONARCH.season_share)
DAY_SHARE = MONARCH.day_share / (1 - MONARCH.season_share)
HERE = Season(folder=Path("/nowhere"), name="simulated", constant=24.0)
CURVE = curve_of(HERE, MONARCH)
FIRST = date(2027, 6, 1)
LEARNED, LATER = 30, 8  # days of pupation
OTHER_POPULATION = 116 / 136


@dataclass(frozen=True)
class Truth:
    """Pupae of one simulated season: day of pupation, and when each pupated and emerged, days from EPOCH."""

    day: np.ndarray
    pupated: np.ndarray
    emerged: np.ndarray


def drifts(kind: str, rng: np.random.Generator) -> np.ndarray:
    """How far the mean requirement has drifted by each day, degree-days."""
    word, _, size = kind.partition(" ")
    days, sign = np.arange(LEARNED + LATER), rng.choice([-1, 1])
    match word:
        case "steady":  # so large a share of the requirement in all
            return np.asarray(sign * K * float(size) * days / len(days))
        case "walk":  # steps of this standard deviation a day
            return np.cumsum(rng.normal(0, float(size) * K, len(days)))
        case "step":  # from the eighteenth day on
            return np.where(days >= 18, sign * K * float(size), 0.0)
    return np.zeros(len(days))


def season(rng: np.random.Generator, records: int, mean: float, kind: str = "none") -> Truth:
    """One season: so many records in LEARNED days, and one pupa on each day after."""
    spread = WITHIN * np.exp(rng.normal(-(LOG_SPREAD**2), LOG_SPREAD))
    day = np.concatenate([np.sort(rng.integers(0, LEARNED, records)), np.arange(LEARNED, LEARNED + LATER)])
    need = mean + drifts(kind, rng)[day]
    need = need + rng.normal(0, spread * np.sqrt(DAY_SHARE), LEARNED + LATER)[day]
    need = need + rng.normal(0, spread * np.sqrt(1 - DAY_SHARE), len(day))
    pupated = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + day + rng.random(len(day))
    return Truth(day, pupated, CURVE.when(CURVE.at(pupated) + need))


def noted(time: float, looks: Looks | None, phase: int) -> When:
    """When something is noted that happened at a time: on that day, or at the next look."""
    if looks is None:
        return When((EPOCH + timedelta(days=time)).date())
    hour = looks.hours[-1].hour / 24
    turn = np.ceil((time - hour - phase) / looks.days)
    return looks.read(When((EPOCH + timedelta(days=float(phase + turn * looks.days))).date()))


def rows(truth: Truth, by: float, looks: Looks | None = None) -> list[Pupa]:
    """The pupae as they are on record at a time."""
    phase = int(truth.pupated[0]) % 7 if len(truth.pupated) else 0
    found = []
    for i, (start, end) in enumerate(zip(truth.pupated.tolist(), truth.emerged.tolist(), strict=True)):
        wall = np.floor(end) + (6 + 6 * (end % 1)) / 24 if looks else end
        ended = noted(wall, looks, phase)
        gone = days_from_epoch(ended.known_from) < by
        found.append(
            Pupa(id=f"p{i}", species="monarch", place="lid", pupated=noted(start, looks, phase),
                 outcome="emerged" if gone else None, ended=ended if gone else None)
        )  # fmt: skip
    return found


def learned(
    pupae: list[Pupa],
    by: float,
    prior: Prior,
    looks: Looks | None = None,
    rates: Mapping[float, float] = DRIFTS,
) -> Posterior:
    """What these records teach by a time."""
    on = EPOCH + timedelta(days=by)
    records = records_of(pupae, MONARCH, CURVE, None, on, looks)
    return posterior(
        prior, evidence_of(records, CURVE), max(p.pupated.day for p in pupae if p.pupated), rates
    )


def judged(profile, pupae: list[Pupa], truth: np.ndarray) -> tuple[float, float, float]:
    """Share within the interval, mean absolute error of the median, and interval score, days."""
    dues = [due for due in predict_from(HERE, profile, CURVE, pupae) if due is not None]
    low, median, high = (
        np.array([days_from_epoch(moment) for moment in moments])
        for moments in zip(*((d.low, d.median, d.high) for d in dues), strict=True)
    )
    missed = np.maximum(low - truth, 0) + np.maximum(truth - high, 0)
    return (
        float((missed == 0).mean()),
        float(np.abs(median - truth).mean()),
        float((high - low + 20 * missed).mean()),
    )


def one(cell: str, records: int, rng: np.random.Generator, rates: Mapping[float, float]) -> tuple[float, ...]:
    """One season of a cell, judged."""
    kind, _, looks_text = cell.partition("; ")
    mean = rng.normal(K, SHARED)
    if kind.startswith("another population"):
        mean = K * OTHER_POPULATION
    looks = Looks.parse(looks_text) if looks_text else None
    truth = season(rng, records, mean, kind)
    by = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + LEARNED + LATER
    pupae = rows(truth, by, looks)
    prior = carried(MONARCH.summary, [])
    if kind.endswith("the season before"):
        told = learned(pupae[:records], by + 30, prior, looks).estimate()
        truth = season(rng, 0, rng.normal(mean, SHARED * np.sqrt(1 - KEEPER_SHARE)))
        profile = MONARCH.taking(carried(MONARCH.summary, [told]).summary)
        return judged(profile, rows(truth, 0), truth.emerged)
    profile = MONARCH.taking(learned(pupae, by, prior, looks, rates).summary())
    return judged(profile, pupae[records:], truth.emerged[records:])


CELLS = (
    ("none", 10), ("none", 47), ("steady 0.08", 47), ("steady 0.12", 47), ("walk 0.008", 47),
    ("step 0.08", 47),
    ("another population", 10), ("another population", 47), ("another population, the season before", 10),
    ("another population, the season before", 47), ("none; daily at 8", 47), ("none; every 3 days at 8", 47),
)  # fmt: skip
CHOICES = {
    "none": {0.0: 1.0},
    "0.008": {0.008: 1.0},
    "as shipped": DRIFTS,
    "0, 0.006, 0.015": {0.0: 0.6, 0.006: 0.25, 0.015: 0.15},
    "0.004, 0.01, 0.02": {0.004: 0.3, 0.01: 0.5, 0.02: 0.2},
}


def measured(cell: str, records: int, seasons: int, rates: Mapping[float, float] = DRIFTS) -> str:
    found = np.array([one(cell, records, np.random.default_rng([i, records]), rates) for i in range(seasons)])
    covered, error, score = found.mean(axis=0)
    give = found[:, 0].std() / np.sqrt(seasons)
    return (
        f"covered {covered:.3f} ± {give:.3f}, mean absolute error {error:.3f} d, interval score {score:.2f} d"
    )


def lines(seasons: int, choose: bool) -> Iterator[str]:
    for cell, records in CELLS[1:6] if choose else CELLS:
        for name, rates in CHOICES.items() if choose else (("", DRIFTS),):
            yield f"{cell:38} {records:3} records {name:18} {measured(cell, records, seasons, rates)}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seasons", type=int, default=200)
    parser.add_argument("--drifts", action="store_true")
    arguments = parser.parse_args()
    for line in lines(arguments.seasons, arguments.drifts):
        print(line, flush=True)


if __name__ == "__main__":
    main()
