"""What a season's rows say of how long its pupae took: intervals, because they are kept by the day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np
from numpy.typing import NDArray

from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import Curve
from planner.emergence.degree_days import Floats
from planner.emergence.distribution import HOURS
from planner.emergence.readings import Readings
from planner.season.pupae import Pupa
from planner.season.reading.when import When

MEASURED = (
    0.8  # of the time a record spans must be measured, or it says more of the assumption than of the pupa
)

# What each outcome says of the day of emergence: that one, that or an earlier one, a later one, or nothing.
ON, BY, AFTER, NOTHING = "on", "by", "after", "nothing"
MEANS = {
    "emerged": ON,
    "deformed": ON,  # seen when it came out
    "released": BY,  # on the day it emerged, or later
    "escaped": BY,
    "removed": AFTER,  # given away or taken out while it hung
    "failed": NOTHING,  # it died at a time unknown
    "parasitised": NOTHING,
}


@dataclass(frozen=True)
class Record:
    """One pupa's row: it emerged on, by or after ``day`` (days from EPOCH), or why that is not used."""

    pupa: Pupa
    kind: str
    day: float
    why_not: str = ""


@dataclass(frozen=True, eq=False)
class Evidence:
    """Records as arrays, equal ones counted together.

    ``start``: degree-days gathered at the possible hours of pupation (a column each, evenly likely but for
    Gauss-Legendre weights); ``low``, ``high``: degree-days between which it was ready, infinite where open;
    ``count``: how many such; ``batch``: index of its pupation day among ``days``.
    """

    start: Floats
    low: Floats
    high: Floats
    count: NDArray[np.int64]
    batch: NDArray[np.int64]
    days: tuple[date, ...]


def records_of(
    pupae: Sequence[Pupa], curve: Curve, readings: Readings | None, on: datetime
) -> tuple[Record, ...]:
    """Every row that has a pupation date, as it stood ``on``."""
    return tuple(_record(p, p.pupated, curve, readings, on) for p in pupae if p.pupated is not None)


def _record(pupa: Pupa, pupated: When, curve: Curve, readings: Readings | None, on: datetime) -> Record:
    today = days_from_epoch(datetime.combine(on.date(), time()))
    ended = pupa.ended
    if pupa.outcome is None or (ended and ended.earliest > on):
        kind, day = AFTER, today  # still hanging: today it may yet emerge
    elif ended is None:
        return Record(pupa, NOTHING, today, f"{pupa.outcome}, but not when")
    else:
        kind, day = MEANS[pupa.outcome], days_from_epoch(datetime.combine(ended.day, time()))
    if kind == NOTHING:
        return Record(pupa, kind, day, f"{pupa.outcome}: how far it had come is not known")
    start = days_from_epoch(pupated.earliest)
    if day < np.floor(start) or (kind == AFTER and day <= days_from_epoch(pupated.latest)):
        return Record(pupa, kind, day, "pupated too lately to tell anything")
    end = day + (0 if kind == AFTER else 1)
    if readings is not None and _measured(readings, start, end) < MEASURED:
        return Record(pupa, kind, day, "too little of its time is measured")
    if float(curve.at(np.array(end)) - curve.at(np.array(start))) <= 0:
        return Record(pupa, kind, day, "too cold all the time to develop")
    return Record(pupa, kind, day)


def _measured(readings: Readings, start: float, end: float) -> float:
    """Share of a time for which there are readings."""
    covered = np.minimum(readings.end, end) - np.maximum(readings.start, start)
    return float(np.maximum(covered, 0).sum()) / (end - start)


def evidence_of(records: Sequence[Record], curve: Curve) -> Evidence:
    """The usable records as arrays."""
    counted = Counter(
        (r.pupa.pupated, r.kind, r.day) for r in records if not r.why_not and r.pupa.pupated is not None
    )
    days = {day: i for i, day in enumerate(sorted({when.day for when, _, _ in counted}))}
    first = np.array([days_from_epoch(when.earliest) for when, _, _ in counted])
    length = np.array([(when.latest - when.earliest) / timedelta(days=1) for when, _, _ in counted])
    day = np.array([day for _, _, day in counted], dtype=float)
    low, high = curve.at(day), curve.at(day + 1)
    kind = np.array([kind for _, kind, _ in counted])
    return Evidence(
        start=curve.at(first[:, None] + HOURS * length[:, None]),
        low=np.where(kind == BY, -np.inf, low),
        high=np.where(kind == AFTER, np.inf, high),
        count=np.array(list(counted.values()), dtype=np.int64),
        batch=np.array([days[when.day] for when, _, _ in counted], dtype=np.int64),
        days=tuple(days),
    )
