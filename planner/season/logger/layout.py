"""Where a table of temperatures has its heading, how it is cut, and which column is what."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

from planner.season.logger.columns import (
    Column,
    NoLayout,
    cell_of,
    column_stated,
    half_of,
    one_of,
    same_name,
    time_of,
    with_units,
)
from planner.season.logger.days import ORDERS, clock_of, day_of, split
from planner.season.logger.heading import TIMES, heading_of, unit_of
from planner.season.logger.number import Number, number_of
from planner.season.logger.text import head_of
from planner.season.reading.problems import shorten

DELIMITERS = (",", ";", "\t", "|")
MOST_ABOVE = 60  # lines above the heading
LONGEST = 20_000  # letters of a heading
SAMPLE = 50  # rows by which a heading is judged
MOST_TRIED = 5  # lines that could be the heading
NONE_NAMED = "the first line must name date, min, max or time, temperature"


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
        The column of days or moments, or one of days and one of hours; and that of AM and PM, if it is apart.
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


def in_fahrenheit(data: bytes, column: str | None = None) -> bool:
    """Whether a table of temperatures is in °F; False where it cannot be read."""
    layout = layout_of(head_of(data), column)
    return isinstance(layout, Layout) and layout.fahrenheit


def layout_of(lines: Sequence[str], column: str | None = None) -> Layout | NoLayout:
    """The layout of a table; of several headings that could be one, the first with rows that fit it.

    ``column``: name of the one that holds the temperature, where the keeper has stated it.
    """
    unfit: Layout | NoLayout | None = None
    tried = 0
    for index, line in enumerate(islice(lines, MOST_ABOVE + 1)):
        if len(line) > LONGEST:
            continue
        cuts = [cut for cut in sorted(DELIMITERS, key=line.count, reverse=True) if cut in line]
        best, most = None, 0.0
        for delimiter in cuts:
            found = _layout(lines, index, delimiter, column)
            if isinstance(found, Layout):
                fit = _fit(found, _sample(lines, found.first - 1, delimiter))
                if fit > most:
                    best, most = found, fit
            if found is not None and unfit is None:
                unfit = found
            tried += found is not None
        if best is not None:
            return best
        if tried >= MOST_TRIED:
            break
    return unfit or NoLayout(1, NONE_NAMED)


def _sample(lines: Sequence[str], start: int, delimiter: str) -> list[list[str]]:
    """The first rows from a line on, counted from 0, without empty ones."""
    try:
        rows = csv.reader(islice(lines, start, start + 2 * SAMPLE), delimiter=delimiter)
        return [row for row in rows if any(cell.strip() for cell in row)][:SAMPLE]
    except csv.Error:
        return []


def _layout(lines: Sequence[str], index: int, delimiter: str, stated: str | None) -> Layout | NoLayout | None:
    """The layout if this line is the heading; None where it names no time or no temperature."""
    try:
        cells = next(csv.reader([lines[index]], delimiter=delimiter), [])
    except csv.Error:
        return None
    named = [(at, cell.strip(), heading_of(cell)) for at, cell in enumerate(cells[:1000])]
    columns = [Column(at, cell, h, bool(h.fahrenheit)) for at, cell, h in named if h is not None]
    if not any(column.heading.kind in TIMES for column in columns):
        return None
    rows = _sample(lines, index + 1, delimiter)
    first = index + 2
    if stated is not None and rows:  # a heading alone is not yet a logger's table
        those = [column_stated(*c[:2]) for c in named if c[1].casefold() == stated.strip().casefold()]
        if not those:
            return _no_such_column(stated, named, index + 1)
        if len(those) > 1:
            return replace(same_name(those), line=index + 1)
        columns = [c for c in columns if c.heading.kind in TIMES]
        columns += those
    if rows and not any(number_of(c).value is not None or day_of(c, "dmy") for c in rows[0]):
        columns, is_unit = with_units(columns, rows[0])
        if is_unit:
            rows, first = rows[1:], first + 1
    when = time_of(columns, rows)
    temperature, low, high = (one_of(columns, kind, rows) for kind in ("temperature", "min", "max"))
    daily = low is not None and high is not None
    if daily:
        day = next((c for c in reversed(columns) if c.heading.kind == "date"), when[0])
        days = [cell_of(row, day) for row in rows]
        if temperature is not None:  # minimum and maximum may be those of an hour
            daily = not any(split(text)[1] for text in days)
            daily = daily and (when == (day,) or len(set(days)) == len(days))
        when = (day,) if daily else when
    half = None if daily else half_of(cells, rows)
    when = when if half is None else (*when, half)
    values = (low, high) if daily else (temperature,)
    unclear = next((value for value in values if isinstance(value, NoLayout)), None)
    if unclear is not None:
        return replace(unclear, line=index + 1)
    found = tuple(value for value in values if isinstance(value, Column))
    if not found:
        dated = [row for row in rows if _is_dated(row, when)]
        if not dated:
            return None
        what = f"'{shorten(when[0].written, 40)}' names the time, but no column names the temperature"
        return NoLayout(index + 1, f"{what}: write temperature, or min and max, above it")
    if delimiter == "," and _comma_in_numbers(rows, found[-1].at, len(cells) + len(found)):
        what = "has a comma within its numbers and between its cells: write 23.5, or cut cells by semicolons"
        return NoLayout(first, what)
    return _in_units(Layout(index + 1, first, delimiter, daily, when, found, False), lines[:index], rows)


def _no_such_column(stated: str, named: Sequence[tuple[int, str, object]], line: int) -> NoLayout:
    names = ", ".join(f"'{shorten(name, 40)}'" for _, name, _ in named[:10] if name)
    return NoLayout(line, f"no column is named '{shorten(stated, 40)}', as season.yaml has it: {names}")


def _comma_in_numbers(rows: Sequence[Sequence[str]], at: int, most: int) -> bool:
    """Whether each temperature falls in two cells in all rows, so that they have ``most`` cells or more."""

    def cut(row: Sequence[str]) -> bool:
        whole, rest = row[at].strip(), row[at + 1].strip()
        return whole.lstrip("+-").isdigit() and rest.isdigit() and len(rest) <= 2

    return len(rows) > 1 and all(len(row) >= most and at + 1 < len(row) and cut(row) for row in rows)


def _in_units(layout: Layout, above: Sequence[str], rows: Sequence[Sequence[str]]) -> Layout:
    """The layout with the unit that the heading names, else the lines above it, else the cells."""
    if any(column.heading.fahrenheit is not None for column in layout.values):
        return replace(layout, unit_named=True)
    units = [unit for line in above if "unit" in line.casefold() for unit in [unit_of(line)[0]]]
    named = next((unit for unit in units if unit is not None), None)
    if named is None:
        numbers: list[Number] = [number_of(cell_of(row, c)) for row in rows for c in layout.values]
        told = {number.fahrenheit for number in numbers if number.value is not None}
        named = told.pop() if len(told) == 1 else None
    if named is None:
        return layout
    return replace(layout, values=tuple(replace(c, fahrenheit=named) for c in layout.values), unit_named=True)


def _fit(layout: Layout, rows: Sequence[Sequence[str]]) -> float:
    """The share of the rows that have a day or an hour, and a temperature."""
    good = sum(
        _is_dated(row, layout.when)
        and any(number_of(cell_of(row, column)).value is not None for column in layout.values)
        for row in rows
    )
    return good / len(rows) if rows else 0.0


def _is_dated(row: Sequence[str], when: tuple[Column, ...]) -> bool:
    """Whether a row has a day, in whichever order, and no hour that is none."""
    day, clock = split(cell_of(row, when[0]))
    dated = bool(day) and any(day_of(day, order) for order in ORDERS)
    return dated and (not clock or clock_of(clock) is not None)
