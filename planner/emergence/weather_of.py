"""The weather to come of a season: its readings, its forecast, and on which half of the earth it is."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner.emergence.clock import EPOCH
from planner.emergence.temperatures import Stated, as_stated, measured, parse_temperatures
from planner.season.forecast import MOST_DAYS, ForecastDay
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.weather import Weather  # at run time numpy comes with it


def weather_of(season: Season) -> Weather | None:
    """The weather expected after a season's readings; None where nothing is measured.

    Raises
    ------
    FaultyFiles
        The temperature file or the forecast's is missing or has faults.
    """
    readings = measured(season)
    if readings is None or season.readings is None or not len(readings.start):
        return None
    name = Path(season.temperature_file or "").name
    told = forecast_of(season)
    return _weather(season.readings, name, as_stated(season), season.constant, told)


@lru_cache(maxsize=4)  # asked for with every forecast
def _weather(
    data: bytes,
    file: str,
    stated: Stated,
    constant: float | None,
    forecast: tuple[ForecastDay, ...],
) -> Weather:
    from planner.emergence.weather import weather

    readings, _ = parse_temperatures(data, file, *stated)
    last = EPOCH + timedelta(days=float(readings.end[-1]))
    return weather(readings, constant, in_north(stated[0], last.month), forecast)


def forecast_of(season: Season) -> tuple[ForecastDay, ...]:
    """The days of the weather service's forecast, ascending; empty where there is none.

    Raises
    ------
    FaultyFiles
        Its file is missing, has faults, has too many days, or is no table of daily extremes.
    """
    if season.forecast_file is None:
        return season.forecast
    if season.forecast_table is None:
        raise FaultyFiles([Problem(season.forecast_file, 0, 0, "", "this file is not there")])
    name = Path(season.forecast_file).name
    days, problems = parse_temperatures(season.forecast_table, name, season.timezone, season.date_style)
    if not problems and not days.daily:
        problems = (Problem(name, 0, 0, "", "a forecast has one row a day: date, min, max"),)
    if not problems and len(days.start) > MOST_DAYS:
        most = f"has {len(days.start)} days: at most {MOST_DAYS} are allowed, the next ones"
        problems = (Problem(name, 0, 0, "", most),)
    if problems:
        raise FaultyFiles(problems)
    rows = zip(days.start.tolist(), days.low.tolist(), days.high.tolist(), strict=True)
    return tuple(ForecastDay((EPOCH + timedelta(days=day)).date(), low, high) for day, low, high in rows)


@lru_cache(maxsize=64)
def in_north(timezone: str, month: int) -> bool:
    """Whether July is the warm time of the year in a time zone, as its summer time since 1970 shows.

    Where there was none the month tells: butterflies are raised in the warm half of the year.
    """
    zone, later = ZoneInfo(timezone), timedelta()
    for year in range(1970, 2038):
        january, july = (datetime(year, one, 15, tzinfo=zone).utcoffset() for one in (1, 7))
        later += (july or timedelta()) - (january or timedelta())
    return later > timedelta() if later else 4 <= month <= 9
