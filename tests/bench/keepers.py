"""Do intervals hold for keepers as they are: drifting and foreign populations, seasons in a row, and looks?

    python tests/bench/keepers.py --seasons 200
    python tests/bench/keepers.py --seasons 40 --drifts      # how the rates of drift were chosen

By simulation, in a room of 24 °C that is known to vary as rooms do; run by hand. In each season the true mean
requirement and spread are drawn from what the profile says is possible, then a day's error for every
pupation day and each pupa's own. Pupae of thirty days are learned from, and those of the eight days after
forecast on the last of these, when none of them has emerged.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from planner.emergence import climate, learn, shipped
from planner.emergence.clock import EPOCH, days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.posterior import DRIFTS, Posterior, posterior
from planner.emergence.predict import predict_from
from planner.emergence.prior import KEEPER_SHARE, LOG_SPREAD, Prior, carried
from planner.emergence.records import evidence_of, records_of
from planner.report.texts.noted_late import noted_late
from planner.season.pupae import Pupa
from planner.season.reading.looks import Looks
from planner.season.reading.when import When
from planner.season.season import Season

MONARCH = shipped()["monarch"]
K = MONARCH.requirement
SHARED = K * MONARCH.spread * np.sqrt(MONARCH.season_share)
WITHIN = K * MONARCH.spread * np.sqrt(1 - MONARCH.season_share)
DAY_SHARE = MONARCH.day_share / (1 - MONARCH.season_share)
ROOM = 24.0  # °C
HERE = Season(folder=Path("/nowhere"), name="simulated", constant=ROOM)
CURVE = curve_of(HERE, MONARCH)
FIRST = date(2027, 6, 1)
LEARNED, LATER = 30, 8  # days of pupation
OTHER_POPULATION = 116 / 136
LOOKS = "daily at 8", "every 3 days at 8"


@dataclass(frozen=True)
class Cell:
    """Seasons of one kind.

    Attributes
    ----------
    name : str
        What is told of them.
    records : int
        Pupae learned from.
    drift : str
        See `drifts`.
    population : float or None
        The mean requirement as a share of the profile's; None: drawn from what the profile says is possible.
    looks : str
        When the keeper looks; empty: all is seen as it happens.
    told : bool
        Whether the program is told of the looks.
    late : bool
        Whether the keeper writes down the day after for each pupation.
    before : bool
        Whether the records are those of the season before, and this one has none.
    room : float
        Standard deviation of a day's mean temperature, °C.
    """

    name: str
    records: int
    drift: str = "none"
    population: float | None = None
    looks: str = ""
    told: bool = True
    late: bool = False
    before: bool = False
    room: float = climate.INDOORS


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


def gathered(sd: float, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Days from EPOCH, and the true degree-days by each: anomalies persist from day to day."""
    off = np.zeros(LEARNED + LATER + 60)
    for i in range(1, len(off)):
        off[i] = climate.PERSISTENCE * off[i - 1] + rng.normal(0, sd * np.sqrt(1 - climate.PERSISTENCE**2))
    start = days_from_epoch(datetime.combine(FIRST, datetime.min.time()))
    return start + np.arange(len(off) + 1.0), np.append(0, np.cumsum(ROOM + off - MONARCH.lower))


def season(rng: np.random.Generator, cell: Cell, records: int, mean: float) -> Truth:
    """One season: so many records in LEARNED days, and one pupa on each day after."""
    spread = WITHIN * np.exp(rng.normal(-(LOG_SPREAD**2), LOG_SPREAD))
    day = np.concatenate([np.sort(rng.integers(0, LEARNED, records)), np.arange(LEARNED, LEARNED + LATER)])
    need = mean + drifts(cell.drift, rng)[day]
    need = need + rng.normal(0, spread * np.sqrt(DAY_SHARE), LEARNED + LATER)[day]
    need = need + rng.normal(0, spread * np.sqrt(1 - DAY_SHARE), len(day))
    pupated = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + day + rng.random(len(day))
    time, total = gathered(cell.room, rng)
    return Truth(day, pupated, np.interp(np.interp(pupated, time, total) + need, total, time))


def noted(time: float, looks: Looks | None, told: bool, phase: int) -> When:
    """When something is noted that happened at a time: on that day, or at the next look."""
    if looks is None:
        return When((EPOCH + timedelta(days=time)).date())
    hour = looks.hours[-1].hour / 24
    turn = np.ceil((time - hour - phase) / looks.days)
    day = When((EPOCH + timedelta(days=float(phase + turn * looks.days))).date())
    return looks.read(day) if told else day


def rows(truth: Truth, by: float, cell: Cell) -> list[Pupa]:
    """The pupae as they are on record at a time."""
    looks = Looks.parse(cell.looks) if cell.looks else None
    phase = int(truth.pupated[0]) % 7 if len(truth.pupated) else 0
    found = []
    for i, (start, end) in enumerate(zip(truth.pupated.tolist(), truth.emerged.tolist(), strict=True)):
        wall = np.floor(end) + (6 + 6 * (end % 1)) / 24 if looks else end
        ended = noted(wall, looks, cell.told, phase)
        gone = days_from_epoch(ended.known_from) < by
        found.append(
            Pupa(id=f"p{i}", species="monarch", place="lid",
                 pupated=noted(start + cell.late, looks, cell.told, phase),
                 outcome="emerged" if gone else None, ended=ended if gone else None)
        )  # fmt: skip
    return found


def learned(
    pupae: list[Pupa], by: float, prior: Prior, cell: Cell, rates: Mapping[float, float] = DRIFTS
) -> Posterior:
    """What these records teach by a time."""
    on, looks = EPOCH + timedelta(days=by), Looks.parse(cell.looks) if cell.looks and cell.told else None
    records = records_of(pupae, MONARCH, CURVE, None, on, looks)
    return posterior(
        prior, evidence_of(records, CURVE), max(p.pupated.day for p in pupae if p.pupated), rates
    )


def judged(profile, pupae: list[Pupa], truth: np.ndarray) -> tuple[float, ...]:
    """Shares within the 90 % and the central 50 % interval; error, its size, and interval score, days."""
    dues = [due for due in predict_from(HERE, profile, CURVE, pupae) if due is not None]
    low, early, median, late, high = (
        np.array([days_from_epoch(moment) for moment in moments])
        for moments in zip(*((d.low, d.half[0], d.median, d.half[1], d.high) for d in dues), strict=True)
    )
    missed = np.maximum(low - truth, 0) + np.maximum(truth - high, 0)
    return (
        float((missed == 0).mean()),
        float(((early <= truth) & (truth <= late)).mean()),
        float((median - truth).mean()),
        float(np.abs(median - truth).mean()),
        float((high - low + 20 * missed).mean()),
    )


def one(cell: Cell, rng: np.random.Generator, rates: Mapping[float, float]) -> tuple[float, ...]:
    """One season of a cell, judged; last, the requirement learned."""
    mean = rng.normal(K, SHARED) if cell.population is None else K * cell.population
    truth = season(rng, cell, cell.records, mean)
    by = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + LEARNED + LATER
    pupae = rows(truth, by, cell)
    prior = carried(MONARCH.summary, [])
    if cell.before:
        told = learned(pupae[: cell.records], by + 30, prior, cell).estimate()
        truth = season(rng, cell, 0, rng.normal(mean, SHARED * np.sqrt(1 - KEEPER_SHARE)))
        profile = MONARCH.taking(carried(MONARCH.summary, [told]).summary)
        return *judged(profile, rows(truth, 0, cell), truth.emerged), profile.requirement
    profile = MONARCH.taking(learned(pupae, by, prior, cell, rates).summary())
    return *judged(profile, pupae[cell.records :], truth.emerged[cell.records :]), profile.requirement


def warned(cell: Cell, rng: np.random.Generator) -> bool:
    """Whether ``learn`` says at the end of such a season that its records may have been noted late."""
    truth = season(rng, cell, cell.records, K if cell.population is None else K * cell.population)
    by = days_from_epoch(datetime.combine(FIRST, datetime.min.time())) + LEARNED + LATER + 30
    whole = replace(HERE, pupae=tuple(rows(truth, by, cell)))
    return any(list(noted_late(whole, found)) for found in learn(whole, EPOCH + timedelta(days=by)))


CELLS = (
    Cell("no drift", 10), Cell("no drift", 47), Cell("no drift, the room just as stated", 47, room=0.0),
    Cell("steady drift of 8 %", 47, "steady 0.08"), Cell("steady drift of 12 %", 47, "steady 0.12"),
    Cell("steps of 0.8 % a day", 47, "walk 0.008"), Cell("one step of 8 %", 47, "step 0.08"),
    Cell("another population", 10, population=OTHER_POPULATION),
    Cell("another population", 47, population=OTHER_POPULATION),
    Cell("another population, of the season before", 10, population=OTHER_POPULATION, before=True),
    Cell("another population, of the season before", 47, population=OTHER_POPULATION, before=True),
    *(Cell(f"looks {looks}{', told' * told}", 47, looks=looks, told=told)
      for looks in LOOKS for told in (True, False)),
    Cell("pupations noted a day late", 47, late=True),
)  # fmt: skip
CHOICES = {
    "none": {0.0: 1.0},
    "0.008": {0.008: 1.0},
    "as shipped": DRIFTS,
    "0, 0.006, 0.015": {0.0: 0.6, 0.006: 0.25, 0.015: 0.15},
    "0.004, 0.01, 0.02": {0.004: 0.3, 0.01: 0.5, 0.02: 0.2},
}


def measured(cell: Cell, seasons: int, rates: Mapping[float, float] = DRIFTS) -> str:
    found = np.array([one(cell, np.random.default_rng([i, cell.records]), rates) for i in range(seasons)])
    covered, half, bias, error, score, requirement = found.mean(axis=0)
    give = found.std(axis=0) / np.sqrt(seasons)
    return (
        f"90 % {100 * covered:.1f} ± {100 * give[0]:.1f}, 50 % {100 * half:.1f} ± {100 * give[1]:.1f}, "
        f"bias {bias:+.2f} ± {give[2]:.2f} d, error {error:.2f} ± {give[3]:.2f} d, "
        f"interval score {score:.2f} d, requirement {requirement:.1f} ± {give[5]:.1f}"
    )


def lines(seasons: int, choose: bool) -> Iterator[str]:
    for cell in CELLS:
        if choose and (cell.records < 47 or cell.population or cell.looks or cell.late):
            continue
        for name, rates in CHOICES.items() if choose else (("", DRIFTS),):
            yield f"{cell.name:42} {cell.records:3} records {name:18} {measured(cell, seasons, rates)}"
    for cell in () if choose else [one for one in CELLS if one.records == 47 and not one.before]:
        share = np.mean([warned(cell, np.random.default_rng([i, 7])) for i in range(seasons)])
        yield f"{cell.name:42} told that it may be noted late: {share:.3f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seasons", type=int, default=200)
    parser.add_argument("--drifts", action="store_true")
    arguments = parser.parse_args()
    for line in lines(arguments.seasons, arguments.drifts):
        print(line, flush=True)


if __name__ == "__main__":
    main()
