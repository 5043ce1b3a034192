"""Where a table of temperatures has its heading, how it is cut, and which column is what."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

from planner.season.logger.days import clock_of, day_of, split
from planner.season.logger.heading import Heading, heading_of, unit_of
from planner.season.logger.number import Number, number_of
from planner.season.logger.text import head_of
from planner.season.reading.problems import shorten

DELIMITERS = (",", ";", "\t", "|")
MOST_ABOVE = 60  # lines above the heading
LONGEST = 20_000  # letters of a heading
SAMPLE = 50  # rows by which a heading is judged
NONE_NAMED = "the first line must name date, min, max or time, temperature"


@dataclass(frozen=True)
class Column:
    """One column: where it stands, counted from 0, the name it has in the file, and what that says."""

    at: int
    written: str
    heading: Heading
    fahrenheit: bool = False


@dataclass(frozen=True)
class Layout:
    """How a table is read.

    Attributes
    ----------
    line
        Of the heading, from 1.
    first
        The line from which on rows stand: behind the heading and a line of units.
    delimiter
        What cells are cut by.
    daily
        Whether its rows are days with minimum and maximum.
    when
        The column of days or moments, or one of days and one of hours.
    values
        The temperature, or minimum and maximum.
    unit_named
        Whether the file says that it is in °C or in °F.
    """

    line: int
    first: int
    delimiter: str
    daily: bool
    when: tuple[Column, ...]
    values: tuple[Column, ...]
    unit_named: bool

    @property
    def fahrenheit(self) -> bool:
        """Whether any temperature is in °F."""
        return any(column.fahrenheit for column in self.values)

    @property
    def plain(self) -> bool:
        """Whether it is the form of docs/files.md: nothing had to be found out."""
        columns = (*self.when, *self.values)
        in_heading = any(column.heading.fahrenheit is not None for column in self.values)
        alone = self.line == 1 and self.first == 2 and len(self.when) == 1
        return alone and self.unit_named == in_heading and all(c.heading.rank == 2 for c in columns)


@dataclass(frozen=True)
class NoLayout:
    """Why a table cannot be read. ``line``: of the heading, as far as one was found."""

    line: int
    what: str


def in_fahrenheit(data: bytes) -> bool:
    """Whether a table of temperatures is in °F; False where it cannot be read."""
    layout = layout_of(head_of(data))
    return isinstance(layout, Layout) and layout.fahrenheit


def layout_of(lines: Sequence[str]) -> Layout | NoLayout:
    """The layout of a table; of several headings that could be one, the first with rows that fit it."""
    unfit: Layout | NoLayout | None = None
    for index, line in enumerate(islice(lines, MOST_ABOVE + 1)):
        if len(line) > LONGEST:
            continue
        cuts = [cut for cut in sorted(DELIMITERS, key=line.count, reverse=True) if cut in line]
        best, most = None, 0.0
        for delimiter in cuts:
            found = _layout(lines, index, delimiter)
            if isinstance(found, Layout):
                fit = _fit(found, _sample(lines, found.first - 1, delimiter))
                if fit > most:
                    best, most = found, fit
            if found is not None and unfit is None:
                unfit = found
        if best is not None:
            return best
    return unfit or NoLayout(1, NONE_NAMED)


def _sample(lines: Sequence[str], start: int, delimiter: str) -> list[list[str]]:
    """The first rows from a line on, counted from 0, without empty ones."""
    try:
        rows = csv.reader(islice(lines, start, start + 2 * SAMPLE), delimiter=delimiter)
        return [row for row in rows if any(cell.strip() for cell in row)][:SAMPLE]
    except csv.Error:
        return []


def _layout(lines: Sequence[str], index: int, delimiter: str) -> Layout | NoLayout | None:
    """The layout if this line is the heading; None where it names no time or no temperature."""
    try:
        cells = next(csv.reader([lines[index]], delimiter=delimiter), [])
    except csv.Error:
        return None
    named = [(at, cell.strip(), heading_of(cell)) for at, cell in enumerate(cells[:1000])]
    columns = [Column(at, cell, h, bool(h.fahrenheit)) for at, cell, h in named if h is not None]
    rows = _sample(lines, index + 1, delimiter)
    first = index + 2
    if rows and not any(number_of(c).value is not None or day_of(c, "dmy") for c in rows[0]):
        columns, is_unit = _with_units(columns, rows[0])
        if is_unit:
            rows, first = rows[1:], first + 1
    when = _when(columns, rows)
    if when is None:
        return None
    low, high = (_one(columns, kind, rows) for kind in ("min", "max"))
    temperature = _one(columns, "temperature", rows)
    single_days = not any(split(_cell(row, when[0]))[1] for row in rows)
    days = [_cell(row, when[0]) for row in rows]
    daily = low is not None and high is not None
    if daily and temperature is not None:
        daily = single_days and (len(when) == 1 or len(set(days)) == len(days))
    values = (low, high) if daily else (temperature,)
    unclear = next((value for value in values if isinstance(value, NoLayout)), None)
    if unclear is not None:
        return replace(unclear, line=index + 1)
    found = tuple(value for value in values if isinstance(value, Column))
    if not found:
        return None
    if daily:
        when = when[:1]
    if delimiter == "," and _comma_in_numbers(rows, found[-1].at, len(cells)):
        what = "has a comma within its numbers and between its cells: write 23.5, or cut cells by semicolons"
        return NoLayout(first, what)
    return _in_units(Layout(index + 1, first, delimiter, daily, when, found, False), lines[:index], rows)


def _cell(row: Sequence[str], column: Column) -> str:
    return row[column.at].strip() if column.at < len(row) else ""


def _with_units(columns: list[Column], row: Sequence[str]) -> tuple[list[Column], bool]:
    """The columns with the units of a line of units below the heading, and whether it is one."""
    found, any_unit = list[Column](), False
    for column in columns:
        fahrenheit, rest = unit_of(_cell(row, column))
        if fahrenheit is not None and not rest.strip(" ()[]") and column.heading.fahrenheit is None:
            heading = replace(column.heading, fahrenheit=fahrenheit)
            column, any_unit = Column(column.at, column.written, heading, fahrenheit), True
        found.append(column)
    return found, any_unit


def _when(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> tuple[Column, ...] | None:
    """The columns of the time: one that has it all, or one of the day and one of the hour."""

    def first(kind: str) -> Column | None:
        those = [column for column in columns if column.heading.kind == kind]
        return max(those, key=lambda column: (column.heading.rank, column.at)) if those else None

    moment, date, time = first("moment"), first("date"), first("time")
    if moment is not None:
        hours_apart = time is not None and rows and not any(split(_cell(row, moment))[1] for row in rows)
        return (moment, time) if time is not None and hours_apart else (moment,)
    if date is None:
        return None if time is None else (time,)
    if time is None:
        return (date,)
    if any(split(_cell(row, date))[1] for row in rows):
        return (date,)
    if any(all(split(_cell(row, time))) for row in rows):
        return (time,)
    return (date, time)


def _one(columns: Sequence[Column], kind: str, rows: Sequence[Sequence[str]]) -> Column | NoLayout | None:
    """The column of a kind; of one thing in two units the first; NoLayout where two could be meant."""
    those = [column for column in columns if column.heading.kind == kind]
    if len(those) > 1 and rows:
        filled = [c for c in those if any(number_of(_cell(row, c)).value is not None for row in rows)]
        those = filled or those
    best = max((column.heading.rank for column in those), default=0)
    those = [column for column in those if column.heading.rank == best]
    if not those:
        return None
    if best == 2:
        return those[-1]
    if len({column.heading.name for column in those}) > 1 or len({c.fahrenheit for c in those}) < len(those):
        names = " and ".join(f"'{shorten(column.written, 40)}'" for column in those[:2])
        unit = {True: " (°F)", False: " (°C)", None: ""}[those[0].heading.fahrenheit]
        return NoLayout(
            0, f"{names} could both be the {kind}: rename the one that is meant to '{kind}{unit}'"
        )
    return those[0]


def _comma_in_numbers(rows: Sequence[Sequence[str]], at: int, named: int) -> bool:
    """Whether all rows have a cell more than the heading, and the last temperature falls in two cells."""

    def cut(row: Sequence[str]) -> bool:
        whole, rest = row[at].strip(), row[at + 1].strip()
        return whole.lstrip("+-").isdigit() and rest.isdigit() and len(rest) <= 2

    return len(rows) > 1 and all(len(row) > named and at + 1 < len(row) and cut(row) for row in rows)


def _in_units(layout: Layout, above: Sequence[str], rows: Sequence[Sequence[str]]) -> Layout:
    """The layout with the unit that the heading names, else the lines above it, else the cells."""
    if any(column.heading.fahrenheit is not None for column in layout.values):
        return replace(layout, unit_named=True)
    units = [unit for line in above if "unit" in line.casefold() for unit in [unit_of(line)[0]]]
    named = next((unit for unit in units if unit is not None), None)
    if named is None:
        numbers: list[Number] = [number_of(_cell(row, c)) for row in rows for c in layout.values]
        told = {number.fahrenheit for number in numbers if number.value is not None}
        named = told.pop() if len(told) == 1 else None
    if named is None:
        return layout
    return replace(layout, values=tuple(replace(c, fahrenheit=named) for c in layout.values), unit_named=True)


def _fit(layout: Layout, rows: Sequence[Sequence[str]]) -> float:
    """The share of the rows that have a day or an hour, and a temperature."""
    good = 0
    for row in rows:
        day, clock = split(_cell(row, layout.when[0]))
        dated = bool(day) and any(day_of(day, order) for order in ("dmy", "mdy", "ymd"))
        timed = not clock or clock_of(clock) is not None
        good += (
            dated
            and timed
            and any(number_of(_cell(row, column)).value is not None for column in layout.values)
        )
    return good / len(rows) if rows else 0.0
