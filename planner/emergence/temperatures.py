"""The season's temperature file: daily extremes, or the readings of a logger."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner.emergence.logger_rows import MOST_FAULTS as MOST_FAULTS  # others look for it here
from planner.emergence.logger_rows import Table
from planner.season.logger.text import LARGEST as LARGEST
from planner.season.logger.text import text_of
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.readings import Readings  # at run time numpy comes with it


def measured(season: Season) -> Readings | None:
    """The readings of the season's temperature file; None when the season has none.

    Raises
    ------
    FaultyFiles
        With all problems of the file: missing, faulty, or without usable readings where no constant
        temperature is stated.
    """
    if season.temperature_file is None:
        return None
    if season.readings is None:
        raise FaultyFiles([Problem(season.temperature_file, 0, 0, "", "this file is not there")])
    name = Path(season.temperature_file).name
    readings, problems, _ = _parsed(season.readings, name, *as_stated(season))
    if not problems and not len(readings.start) and season.constant is None:
        what = "nothing measured yet: add readings, or state a constant temperature beside the file"
        if readings.unused:
            what = (
                f"{readings.unused} readings, each too far from the next to be used: read morning and "
                "evening, or state a constant temperature beside the file"
            )
        problems = (Problem(name, 0, 0, "", what),)
    if problems:
        raise FaultyFiles(problems)
    return readings


def how_read(season: Season) -> tuple[str, ...]:
    """How the temperature file was understood: one sentence; none where its form is that of the manual.

    Columns, unit and order of the dates, and the rows that were left out. Empty without a file, and with one
    that is faulty.
    """
    if season.temperature_file is None or season.readings is None:
        return ()
    name = Path(season.temperature_file).name
    _, problems, told = _parsed(season.readings, name, *as_stated(season))
    return (f"{season.temperature_file}: {told}",) if told and not problems else ()


Stated = tuple[str, str | None, str | None]


def as_stated(season: Season) -> Stated:
    """What season.yaml says of how its table is read: time zone, order of the dates, and column."""
    return season.timezone, season.date_style, season.temperature_column


def parse_temperatures(
    data: bytes,
    file: str,
    timezone: str = "UTC",
    style: str | None = None,
    column: str | None = None,
) -> tuple[Readings, tuple[Problem, ...]]:
    """The readings of a table of daily extremes or of a logger, by the table's own heading.

    Columns, unit, delimiter and the order of the dates are found out (`planner.season.logger`). Temperatures
    are in °C unless the file says otherwise. Other columns are ignored. Readings may come in any order; those
    of the same time are averaged. Rows without a reading are left out; where those are most, each is a fault.

    Parameters
    ----------
    data : bytes
        The file's contents.
    file : str
        Its name in problems.
    timezone : str
        IANA name of the local time zone. Times are local; those with an offset are converted.
    style : str, optional
        The season's ``date_style``, by which dates are read that leave open what is day and what is month.
    column : str, optional
        Name of the column that holds the temperature. By default it is found by its name.

    Returns
    -------
    readings : Readings
        Not to be used when there are problems.
    problems : tuple of Problem
        All faults, sorted.
    """
    readings, problems, _ = _parsed(data, file, timezone, style, column)
    return readings, problems


@lru_cache(maxsize=4)  # asked for with every forecast
def _parsed(
    data: bytes, file: str, timezone: str, style: str | None, column: str | None
) -> tuple[Readings, tuple[Problem, ...], str]:
    from planner.emergence.readings import Readings

    try:
        table = Table(file, text_of(data, file), ZoneInfo(timezone), style, column)
        rows = list(table.rows())
    except FaultyFiles as faulty:
        return Readings.of_rows(False, []), faulty.problems, ""
    except csv.Error:
        return Readings.of_rows(False, []), (Problem(file, 0, 0, "", "is not a table of text"),), ""
    return Readings.of_rows(table.daily, rows), tuple(sorted(table.problems)), table.told()


@dataclass(frozen=True)
class Row:
    """One valid row.

    Attributes
    ----------
    time : float
        Days from EPOCH.
    low, high : float
        °C; equal for a logger's reading.
    line : int
        Its line in the file, from 1.
    fahrenheit : bool
        Whether the file has it in °F.
    """

    time: float
    low: float
    high: float
    line: int
    fahrenheit: bool


@lru_cache(maxsize=4)  # asked for by each doubt
def rows_of(
    data: bytes, file: str, timezone: str, style: str | None = None, column: str | None = None
) -> tuple[bool, tuple[Row, ...], bool]:
    """The valid rows of a table; nothing is raised for a table that cannot be read.

    Returns
    -------
    daily : bool
        Whether the rows are days rather than single readings.
    rows : tuple of Row
        Sorted by time.
    named : bool
        Whether the file names a unit.
    """
    try:
        table = Table(file, text_of(data, file), ZoneInfo(timezone), style, column)
        found = [Row(*row, table.line, table.fahrenheit) for row in table.rows()]
    except (FaultyFiles, csv.Error):
        return False, (), False
    return table.daily, tuple(sorted(found, key=lambda row: (row.time, row.line))), table.unit_named
