"""Parser of ``temperatures.csv``: daily extremes, or the readings of a logger."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from planner.emergence.clock import days_from_epoch
from planner.season.load import LARGEST_READINGS as LARGEST
from planner.season.reading.problems import FaultyFiles, Problem, shorten
from planner.season.reading.scalars import FIRST_YEAR, LAST_YEAR, degrees
from planner.season.reading.yaml_text import decode
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.readings import Readings  # at run time numpy comes with it

MOST_FAULTS = 1000  # reading stops there: it must be another kind of file
COLDEST, HOTTEST = -60.0, 70.0  # °C; no air temperature lies outside
HOTTEST_F = 158.0  # the same in °F

_HEADER = re.compile(r"(date|time|min|max|temperature)(?:[ _]*\(?°?([CF])\)?)?", re.IGNORECASE)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?")


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
    readings, problems = parse_temperatures(season.readings, name, season.timezone)
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


@lru_cache(maxsize=4)  # asked for with every forecast
def parse_temperatures(data: bytes, file: str, timezone: str = "UTC") -> tuple[Readings, tuple[Problem, ...]]:
    """The readings of a table of daily ``date,min,max`` or of a logger's ``time,temperature``.

    Temperatures are in °C unless the header says otherwise: ``min_F``, ``temperature (°F)``. Other columns
    are ignored. A table separated by semicolons or tabs may have decimal commas. Readings may come in any
    order; those of the same time are averaged.

    Parameters
    ----------
    data : bytes
        The file's contents.
    file : str
        Its name in problems.
    timezone : str
        IANA name of the local time zone. Times are local; those with an offset are converted.

    Returns
    -------
    readings : Readings
        Not to be used when there are problems.
    problems : tuple of Problem
        All faults, sorted.
    """
    from planner.emergence.readings import Readings

    try:
        text = decode(data, file, LARGEST)
    except FaultyFiles as faulty:
        return Readings.of_rows(False, []), faulty.problems
    try:
        table = _Table(file, text, ZoneInfo(timezone))
        rows = list(table.rows())
    except csv.Error:
        return Readings.of_rows(False, []), (Problem(file, 0, 0, "", "is not a table of text"),)
    return Readings.of_rows(table.daily, rows), tuple(sorted(table.problems))


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


def rows_of(data: bytes, file: str, timezone: str) -> tuple[bool, list[Row], bool]:
    """The valid rows of a table; nothing is raised for a table that cannot be read.

    Returns
    -------
    daily : bool
        Whether the rows are days rather than single readings.
    rows : list of Row
        Sorted by time.
    named : bool
        Whether the first line names a unit.
    """
    try:
        table = _Table(file, decode(data, file, LARGEST), ZoneInfo(timezone))
        found = [Row(*row, table.reader.line_num, table.fahrenheit) for row in table.rows()]
    except (FaultyFiles, csv.Error):
        return False, [], False
    return table.daily, sorted(found, key=lambda row: (row.time, row.line)), table.unit_named


class _Table:
    """A file being parsed: its columns, and the problems found so far."""

    def __init__(self, file: str, text: str, zone: ZoneInfo) -> None:
        self.file, self.zone, self.problems = file, zone, list[Problem]()
        first = text.partition("\n")[0]
        self.separator = max((",", ";", "\t"), key=first.count)
        self.reader = csv.reader(text.splitlines(), delimiter=self.separator)
        self.unit_named = False
        self.columns: dict[str, tuple[int, bool]] = {}  # name: where, and whether in °F
        for column, cell in enumerate(next(self.reader, [])):
            if match := _HEADER.fullmatch(cell.strip()):
                self.columns[match[1].lower()] = column, (match[2] or "C").upper() == "F"
                self.unit_named |= match[2] is not None
        self.daily = "date" in self.columns
        self.wanted = ("date", "min", "max") if self.daily else ("time", "temperature")
        if not self.columns.keys() >= set(self.wanted):
            self.fault(1, [], 0, "", "the first line must name date, min, max or time, temperature")

    def told(self, celsius: float) -> str:
        """A temperature in the unit of the file."""
        return degrees(round(celsius, 1), fahrenheit=self.fahrenheit)

    @property
    def fahrenheit(self) -> bool:
        """Whether any column is in °F."""
        return any(in_fahrenheit for _, in_fahrenheit in self.columns.values())

    def fault(self, line: int, cells: list[str], index: int, where: str, what: str) -> None:
        column = 1 + sum(len(cell) + 1 for cell in cells[:index])  # of the cell's first character
        self.problems.append(Problem(self.file, line, column, where, what))

    def rows(self) -> Iterator[tuple[float, float, float]]:
        """Time (days from EPOCH), lowest and highest (°C) of each valid row; a logger's reading is both."""
        if self.problems:
            return
        seen: dict[float, int] = {}
        for cells in self.reader:
            line = self.reader.line_num
            if len(self.problems) >= MOST_FAULTS:
                self.fault(line, [], 0, "", f"{MOST_FAULTS} faults: the rest was not read")
                return
            if not any(cell.strip() for cell in cells):
                continue
            time = self.time(line, cells)
            found = [self.temperature(line, cells, name) for name in self.wanted[1:]]
            if time is None or None in found:
                continue
            values = [v for v in found if v is not None]
            low, high = values[0], values[-1]
            if low > high:
                index = self.columns["min"][0]
                self.fault(line, cells, index, "min", f"{self.told(low)} is above max, {self.told(high)}")
            elif self.daily and time in seen:
                index = self.columns["date"][0]
                self.fault(line, cells, index, "date", f"this day stands in line {seen[time]} already")
            else:
                seen[time] = line
                yield time, low, high

    def time(self, line: int, cells: list[str]) -> float | None:
        name = self.wanted[0]
        column = self.columns[name][0]
        text = cells[column].strip() if column < len(cells) else ""
        form, example = (_DAY, "2027-07-03") if self.daily else (_MOMENT, "2027-07-03T14:30")
        try:
            if not form.fullmatch(text):
                raise ValueError
            moment = datetime.fromisoformat(text)
            if moment.tzinfo:
                moment = moment.astimezone(self.zone).replace(tzinfo=None)
            if not FIRST_YEAR <= moment.year <= LAST_YEAR:
                what = f"'{text}': the year must be {FIRST_YEAR} to {LAST_YEAR}"
                self.fault(line, cells, column, name, what)
                return None
        except (ValueError, OverflowError):
            self.fault(line, cells, column, name, f"'{shorten(text)}' is not a {name}: write {example}")
            return None
        return days_from_epoch(moment)

    def temperature(self, line: int, cells: list[str], name: str) -> float | None:
        column, fahrenheit = self.columns[name]
        text = cells[column].strip() if column < len(cells) else ""
        number = text if self.separator == "," else text.replace(",", ".")
        value = float(number) if _NUMBER.fullmatch(number) else math.nan
        celsius = (value - 32) * 5 / 9 if fahrenheit else value
        if COLDEST <= celsius <= HOTTEST:
            return celsius
        allowed = "-76 to 158 °F is allowed" if fahrenheit else "-60 to 70 °C is allowed"
        if not fahrenheit and HOTTEST < value <= HOTTEST_F:
            allowed += f"; if it is in °F, write {name}_F in the first line"
        self.fault(line, cells, column, name, f"'{shorten(text)}' is not a temperature: {allowed}")
        return None
