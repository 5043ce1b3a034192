"""Pupal durations as recorded: interval-censored observations, because records are kept by the day."""

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
from planner.emergence.readings import Readings
from planner.emergence.unconditional import HOURS
from planner.season.pupae import Pupa
from planner.season.reading.when import When

MEASURED = (
    0.8  # least measured share of a record's span; below it the record reflects the assumed temperature
)

# What an outcome says of the day of emergence: on that day, by that day, after it, or nothing.
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
    """What one row says of the day of emergence, or why it is not used.

    Attributes
    ----------
    kind : str
        ON, BY or AFTER ``day``, or NOTHING.
    day : float
        Start of the day, days from EPOCH.
    why_not : str
        Why the row is not used; empty when it is.
    """

    pupa: Pupa
    kind: str
    day: float
    why_not: str = ""


@dataclass(frozen=True, eq=False)
class Evidence:
    """The usable records as arrays of n distinct observations.

    Attributes
    ----------
    start : ndarray, shape (n, len(HOURS))
        Cumulative degree-days at the possible hours of pupation, the Gauss-Legendre nodes of the day.
    low, high : ndarray, shape (n,)
        Cumulative degree-days between which it was ready to emerge; infinite where the interval is open.
    count : ndarray, shape (n,)
        Number of equal records.
    batch : ndarray, shape (n,)
        Index of the pupation day in ``days``.
    days : tuple of date
        The pupation days, ascending.
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
    """A record of each pupa that has a pupation date, as the rows stood ``on`` (local time).

    Parameters
    ----------
    pupae : sequence of Pupa
        Of one species.
    curve : Curve
        Of that species.
    readings : Readings or None
        The measured temperatures; None when the season has a constant temperature only.
    on : datetime
        Later events are taken as not yet known.
    """
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
    """Measured share, 0 to 1, of a span of time (days from EPOCH)."""
    covered = np.minimum(readings.end, end) - np.maximum(readings.start, start)
    return float(np.maximum(covered, 0).sum()) / (end - start)


def evidence_of(records: Sequence[Record], curve: Curve) -> Evidence:
    """The usable records as arrays, equal ones counted together."""
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
        start=curve.at(first[:, None] + np.array(HOURS) * length[:, None]),
        low=np.where(kind == BY, -np.inf, low),
        high=np.where(kind == AFTER, np.inf, high),
        count=np.array(list(counted.values()), dtype=np.int64),
        batch=np.array([days[when.day] for when, _, _ in counted], dtype=np.int64),
        days=tuple(days),
    )
