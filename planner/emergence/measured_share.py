"""Coverage of the temperature record: the measured share of each day, in words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from planner.emergence.clock import EPOCH
from planner.emergence.readings import LONGEST_LINE, LONGEST_STEP, Readings
from planner.emergence.temperatures import measured
from planner.season.reading.told_dates import day_text
from planner.season.season import Season

WHOLE = 0.99  # share of a day, 0 to 1, from which it counts as measured wholly
MOST_DAYS = 6  # days that are listed one by one


def coverage(season: Season) -> tuple[str, ...]:
    """Sentences on the coverage of the temperature file: days measured in part, sparse and unused readings.

    Empty when the season has no temperature file, or when its coverage is complete.

    Raises
    ------
    FaultyFiles
        The temperature file is missing or has faults.
    """
    readings = measured(season)
    if readings is None:
        return ()
    return tuple(f"{season.temperature_file}: {text}" for text in _texts(season, readings))


def _texts(season: Season, readings: Readings) -> Iterator[str]:
    days, shares = readings.measured_shares()
    part = [
        f"{day_text((EPOCH + timedelta(days=day)).date())} {share * 100:.0f} %"
        for day, share in zip(days.tolist(), shares.tolist(), strict=True)
        if share < WHOLE
    ]
    if part:
        more = f" and {len(part) - MOST_DAYS} more" if len(part) > MOST_DAYS else ""
        whole = f"{len(days) - len(part)} of {len(days)} days are measured wholly"
        yield f"{whole}; of the others: {', '.join(part[:MOST_DAYS])}{more}"
    if readings.apart > LONGEST_LINE:
        yield (
            f"nothing is read for up to {readings.apart * 24:.0f} h: between, the course of the day is taken "
            "from the days about it. Where that is so day after day, dates may be a day off, two or three "
            f"where the mean is below {season.degrees(18)}"
        )
    if readings.unused:
        yield (
            f"{readings.unused} readings are not used: none is within {LONGEST_STEP * 24:.0f} h of them. "
            "Read morning and evening, or note date, min, max of each day"
        )
