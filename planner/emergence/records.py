"""Pupal durations as recorded: interval-censored observations, for records are kept by days or by looks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from math import floor

import numpy as np
from numpy.typing import NDArray

from planner.emergence.clock import days_from_epoch
from planner.emergence.conditional import HOURS
from planner.emergence.curve import Curve
from planner.emergence.degree_days import Floats
from planner.emergence.profiles import Profile
from planner.emergence.readings import Readings
from planner.season.pupae import Pupa
from planner.season.reading.looks import Looks
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
    """What one row says of when a pupa was ready to emerge, or why it is not used.

    Attributes
    ----------
    kind : str
        ON: between ``low`` and ``high``; BY ``high``; AFTER ``low``; or NOTHING.
    low, high : float
        Days from EPOCH.
    why_not : str
        Why the row is not used; empty when it is.
    """

    pupa: Pupa
    kind: str
    low: float
    high: float
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


def joined(parts: Sequence[Evidence]) -> Evidence:
    """The evidence of several stays as one; the totals of each are its own, and only differences matter."""
    if len(parts) == 1:
        return parts[0]
    days = sorted({day for part in parts for day in part.days})
    place = {day: i for i, day in enumerate(days)}
    batch = [place[part.days[i]] for part in parts for i in part.batch.tolist()]
    return Evidence(
        start=np.concatenate([part.start for part in parts]),
        low=np.concatenate([part.low for part in parts]),
        high=np.concatenate([part.high for part in parts]),
        count=np.concatenate([part.count for part in parts]),
        batch=np.array(batch, dtype=np.int64),
        days=tuple(days),
    )


def records_of(
    pupae: Sequence[Pupa],
    profile: Profile,
    curve: Curve,
    readings: Readings | None,
    on: datetime,
    looks: Looks | None = None,
) -> tuple[Record, ...]:
    """A record of each pupa that has a pupation date, as the rows stood ``on`` (local time).

    Parameters
    ----------
    pupae : sequence of Pupa
        Of one species.
    profile : Profile
        Its hours of emergence are used.
    curve : Curve
        Of that species.
    readings : Readings or None
        The measured temperatures; None when the season has a constant temperature only.
    on : datetime
        Later events are taken as not yet known.
    looks : Looks, optional
        When the keeper looks; else who is noted as hanging is taken to have hung at the beginning of the day.
    """
    hanging = datetime.combine(on.date(), time()) if looks is None else looks.last_before(on)
    return tuple(
        _record(p, p.pupated, profile, curve, readings, on, days_from_epoch(hanging))
        for p in pupae
        if p.pupated is not None
    )


def _record(
    pupa: Pupa,
    pupated: When,
    profile: Profile,
    curve: Curve,
    readings: Readings | None,
    on: datetime,
    hanging: float,
) -> Record:
    ended = pupa.ended
    if pupa.outcome is None or (ended and ended.known_from > on):
        kind, low, high = AFTER, hanging, hanging  # still hanging: it may yet emerge
    elif ended is None:
        return Record(pupa, NOTHING, hanging, hanging, f"{pupa.outcome}, but not when")
    else:
        kind, (low, high) = MEANS[pupa.outcome], ready_between(profile, ended)
    if kind == NOTHING:
        return Record(pupa, kind, low, high, f"{pupa.outcome}: how far it had come is not known")
    start, last = (days_from_epoch(moment) for moment in pupated.span)
    if (low if kind == AFTER else high - 1) < np.floor(start) or (kind == AFTER and low <= last):
        return Record(pupa, kind, low, high, "pupated too recently to tell anything")
    end = low if kind == AFTER else high
    if readings is not None and _measured(readings, start, end) < MEASURED:
        return Record(pupa, kind, low, high, "too little of its time is measured")
    if float(curve.at(np.array(end)) - curve.at(np.array(start))) <= 0:
        return Record(pupa, kind, low, high, "too cold all the time to develop")
    return Record(pupa, kind, low, high)


def ready_between(profile: Profile, ended: When) -> tuple[float, float]:
    """Between which times, days from EPOCH, one was ready whose emergence was noted.

    Of a day, or of a minute without looks, the whole day: when within it adults emerge is a matter of light,
    not of readiness. Between two looks it was ready as `Emergence.clock` has it, or at the very hours, for
    the hours of emergence are known but roughly.
    """
    if ended.looks is None:
        day = days_from_epoch(datetime.combine(ended.day, time()))
        return day, day + 1
    first, last = (days_from_epoch(moment) for moment in ended.looks)
    return min(first, _ready_by(profile, first)), max(last, _ready_by(profile, last))


def _ready_by(profile: Profile, wall: float) -> float:
    """Latest time of readiness for an emergence by a local time; both in days from EPOCH."""
    day, low, high = floor(wall), profile.emerges_from, profile.emerges_until
    return day + min(max(((wall - day) * 24 - low) / (high - low), 0), 1)


def _measured(readings: Readings, start: float, end: float) -> float:
    """Measured share, 0 to 1, of a span of time (days from EPOCH)."""
    covered = np.minimum(readings.end, end) - np.maximum(readings.start, start)
    return float(np.maximum(covered, 0).sum()) / (end - start)


def evidence_of(records: Sequence[Record], curve: Curve) -> Evidence:
    """The usable records as arrays, equal ones counted together."""
    counted = Counter(
        (r.pupa.pupated, r.kind, r.low, r.high)
        for r in records
        if not r.why_not and r.pupa.pupated is not None
    )
    days = {day: i for i, day in enumerate(sorted({when.day for when, *_ in counted}))}
    first = np.array([days_from_epoch(when.span[0]) for when, *_ in counted])
    last = np.array([days_from_epoch(when.span[1]) for when, *_ in counted])
    low, high = (curve.at(np.array([row[i] for row in counted], dtype=float)) for i in (2, 3))
    kind = np.array([row[1] for row in counted])
    return Evidence(
        start=curve.at(first[:, None] + HOURS * (last - first)[:, None]),
        low=np.where(kind == BY, -np.inf, low),
        high=np.where(kind == AFTER, np.inf, high),
        count=np.array(list(counted.values()), dtype=np.int64),
        batch=np.array([days[when.day] for when, *_ in counted], dtype=np.int64),
        days=tuple(days),
    )
