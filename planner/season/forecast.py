"""``forecast:`` of season.yaml: the next days by any weather service, each with its lowest and highest."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from planner.season.reading.fields import Fields
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import degrees, parse_number, tidy

MOST_DAYS = 60
COLDEST, WARMEST = -40.0, 60.0  # °C
_DEGREES = re.compile(r"(?P<number>\S+?)\s*°?\s*(?P<scale>[CFcf])?")


@dataclass(frozen=True)
class ForecastDay:
    """One day of a weather service's forecast: lowest and highest temperature, °C."""

    day: date
    low: float
    high: float


def read_forecast(top: Fields) -> tuple[ForecastDay, ...]:
    """The days of the list, ascending; each faulty one is a problem."""
    found: dict[date, ForecastDay] = {}
    for where, node in top.items("forecast"):
        fields = Fields(top.report, node, where, ("day", "min", "max"))
        day = fields.day("day", None, need=True)
        low, high = (_celsius(fields, key) for key in ("min", "max"))
        if day is None or low is None or high is None:
            continue
        if low > high:
            fields.fault("min", "is above max: write the lowest as min and the highest as max")
        elif day in found:
            fields.fault("day", f"{day} is given twice: write one entry for each day")
        else:
            found[day] = ForecastDay(day, low, high)
    if len(found) > MOST_DAYS:
        top.fault("forecast", f"has {len(found)} days: at most {MOST_DAYS} are allowed")
    return tuple(sorted(found.values(), key=lambda one: one.day))


def _celsius(fields: Fields, key: str) -> float | None:
    text = fields.text(key, None, need=True)
    if text is None:
        return None
    match = _DEGREES.fullmatch(text.strip())
    number = parse_number(match["number"]) if match else None
    if match is None or number is None:
        fields.fault(key, f"'{shorten(text)}' is not a temperature: write 14, 14 C or 57 F")
        return None
    fahrenheit = (match["scale"] or "").upper() == "F"
    celsius = (number - 32) / 1.8 if fahrenheit else number
    if not COLDEST <= celsius <= WARMEST:
        low, high = (degrees(limit, fahrenheit=fahrenheit) for limit in (COLDEST, WARMEST))
        mistaken = not fahrenheit and WARMEST < number <= WARMEST * 1.8 + 32
        hint = f"; for Fahrenheit write '{tidy(number)} F'" if mistaken else ""
        fields.fault(key, f"{text.strip()}: {low} to {high} are allowed{hint}")
        return None
    return celsius
