"""The rows of a table of temperatures: which hold a reading, which are left out, and what is faulty."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import floor
from zoneinfo import ZoneInfo

from planner.emergence.logger_times import Times
from planner.emergence.logger_values import Values
from planner.season.logger.columns import NoLayout
from planner.season.logger.days import Order, both_readings, is_numbers, order_of, split
from planner.season.logger.heading import TIMES, heading_of
from planner.season.logger.layout import Layout, layout_of
from planner.season.reading.problems import Problem, shorten
from planner.season.reading.scalars import degrees

MOST_FAULTS = 1000  # reading stops there: it must be another kind of file
MOST_LEFT_OUT = 0.5  # of all rows; in a file with a larger share each of them is a fault
AUTUMNS_APART = 100 * 24  # hours; between two that come twice because summer time ends
_NOTHING = re.compile(r"[\W_]*")
_BELOW = re.compile(
    r"(?:end|min|max|lowest|highest|mean|average|avg|median|total|sum|std|summary|statistics)\b.*",
    re.IGNORECASE,
)  # how the lines below a table begin
_NOT_READ = f"{MOST_FAULTS} faults: the rest was not read"


class Table:
    """A file being parsed: its layout, the problems found so far and the rows left out.

    Attributes
    ----------
    line
        Of the row that was given last, from 1.
    total, left_out
        Number of rows, and of those that hold no reading.
    first_left_out
        Line and cell of the first of these.
    """

    def __init__(
        self, file: str, text: str, zone: ZoneInfo, style: str | None = None, column: str | None = None
    ) -> None:
        self.file, self.problems = file, list[Problem]()
        self.lines = text.splitlines()
        self.line = self.total = self.left_out = 0
        self._ended = text.endswith(("\r", "\n"))  # else its last row may be just being written
        self.first_left_out = 0, ""
        self._unread: list[Problem] = []  # cells without a reading, as the faults they may be
        found = layout_of(self.lines, column)
        self.layout = found if isinstance(found, Layout) else None
        if isinstance(found, NoLayout):
            self.fault(found.line, [], 0, "", found.what)
            return
        self.named = self._named(next(csv.reader([self.lines[found.line - 1]], delimiter=found.delimiter)))
        self.times = Times(found.when, daily=found.daily, zone=zone, order=self._order(found, style))
        if self.times.unknown_zone:
            self.fault(found.line, [], 0, "", self.times.unknown_zone)
        names = ("min", "max") if found.daily else ("temperature",)
        self._values = [Values(name, column, found) for name, column in zip(names, found.values, strict=True)]

    @property
    def daily(self) -> bool:
        """Whether the rows are days with minimum and maximum."""
        return self.layout is not None and self.layout.daily

    @property
    def fahrenheit(self) -> bool:
        """Whether any column is in °F."""
        return self.layout is not None and self.layout.fahrenheit

    @property
    def unit_named(self) -> bool:
        """Whether the file names a unit."""
        return self.layout is not None and self.layout.unit_named

    def fault(self, line: int, cells: list[str], index: int, where: str, what: str) -> None:
        """Note what is wrong with a cell of a row."""
        self.problems.append(self._problem(line, cells, index, where, what))

    def _problem(self, line: int, cells: list[str], index: int, where: str, what: str) -> Problem:
        column = 1 + sum(len(cell) + 1 for cell in cells[:index])  # of the cell's first character
        return Problem(self.file, line, column, where, what)

    def _cells(self, layout: Layout) -> Iterator[list[str]]:
        """The cells of each row that holds anything; ``line`` is set to its line."""
        reader = csv.reader(self.lines[layout.first - 1 :], delimiter=layout.delimiter)
        for cells in reader:
            if cells and (cells[0].strip() or any(cell.strip() for cell in cells)):
                self.line = layout.first - 1 + reader.line_num
                yield cells

    def _order(self, layout: Layout, style: str | None) -> Order | None:
        """The order of days that are numbers, by all rows; a fault where they leave it open."""
        column = layout.when[0]
        if column.heading.order is not None:
            return Order(column.heading.order)
        days: dict[str, None] = {}
        first: tuple[int, list[str]] | None = None
        for cells in self._cells(layout):
            text = split(cells[column.at].strip())[0] if column.at < len(cells) else ""
            if text not in days and is_numbers(text):
                first = first or (self.line, cells)
                days[text] = None
            elif first is None and self.line >= layout.first + 200:
                return None
        if first is None:
            return None
        order = order_of(days, style)
        if order.name is None:
            line, cells = first
            self.fault(
                line, cells, column.at, "date" if layout.daily else "time", both_readings(next(iter(days)))
            )
        return order

    def rows(self) -> Iterator[tuple[float, float, float]]:
        """Time (days from EPOCH), lowest and highest (°C) of each valid row; a logger's reading is both."""
        if self.problems or self.layout is None:
            return
        seen: dict[float, tuple[int, float]] = {}
        last, again = 0.0, list[tuple[float, int]]()  # times that came before, with another temperature
        unended = 0 if self._ended else len(self.lines)
        at = self.layout.when[0].at
        for cells in self._cells(self.layout):
            if len(self.problems) >= MOST_FAULTS:
                self.fault(self.line, [], 0, "", _NOT_READ)
                return
            self.total += 1
            cut = self.line == unended and bool(seen) and self._breaks_off(cells)
            time = "this row breaks off" if cut else self.times.read(cells)
            if isinstance(time, str):
                if self._is_other_heading(cells):
                    where = f"this heading differs from that in line {self.layout.line}"
                    time = f"{where}: bring all rows under one heading, or take the others out"
                elif cut or self._is_beside(cells, anything=bool(seen)):
                    self._leave_out(cells, at, self.times.name, time)
                    self.left_out += 1
                    continue
                self.fault(self.line, cells, at, self.times.name, time)
            found = self._temperatures(cells)
            if isinstance(time, str) or len(found) < len(self._values):
                continue
            low, high = found[0], found[-1]
            if low > high:
                index, told = self._values[0].at, self._told
                self.fault(self.line, cells, index, "min", f"{told(low)} is above max, {told(high)}")
            elif self.daily and time in seen:
                self.fault(self.line, cells, at, "date", f"this day stands in line {seen[time][0]} already")
            else:
                if seen.get(time, (0, low))[1] != low and time != last:
                    again.append((time, self.line))
                last = time
                seen.setdefault(time, (self.line, low))
                yield time, low, high
        self._twice(again, seen)
        if self.left_out > MOST_LEFT_OUT * self.total:
            self.problems += self._unread

    def _twice(self, again: list[tuple[float, int]], seen: dict[float, tuple[int, float]]) -> None:
        """A fault where hours come twice with other temperatures, but for the one when summer time ends.

        ``again``: time and line of each row whose time came in an earlier row.
        """
        hours = sorted({floor(time * 24) for time, _ in again})
        if all(b - a > AUTUMNS_APART for a, b in pairwise(hours)):
            return
        time, line = again[0]
        what = f"this time stands in line {seen[time][0]} already, with another temperature"
        more = f", and so in {len(again) - 1} more rows" if len(again) > 1 else ""
        todo = "write AM or PM behind each time, or give each logger a file of its own"
        self.fault(line, [], 0, self.times.name, f"{what}{more}: {todo}")

    def _told(self, celsius: float) -> str:
        """A temperature in the unit of the file."""
        return degrees(round(celsius, 1), fahrenheit=self.fahrenheit)

    def _temperatures(self, cells: list[str]) -> list[float]:
        """The temperatures of a row, °C, as far as it has them; what else its cells hold is noted."""
        found, empty = list[float](), False
        for values in self._values:
            text = cells[values.at].strip() if values.at < len(cells) else ""
            value = values.known[text] if text in values.known else values.read(text)
            if isinstance(value, float):
                found.append(value)
            elif value is None:
                empty = True
                self._leave_out(cells, values.at, values.name, values.fault(text))
            else:
                self.fault(self.line, cells, values.at, values.name, value)
        if empty:
            self.left_out += 1
        return found

    def _leave_out(self, cells: list[str], at: int, where: str, what: str) -> None:
        """Note a cell without a reading, with the fault that it is where most rows have none."""
        if not self._unread:
            self.first_left_out = self.line, cells[at].strip() if at < len(cells) else ""
        if len(self._unread) < MOST_FAULTS:
            self._unread.append(self._problem(self.line, cells, at, where, what))
        elif len(self._unread) == MOST_FAULTS:
            self._unread.append(self._problem(self.line, [], 0, "", _NOT_READ))

    def _breaks_off(self, cells: list[str]) -> bool:
        """Whether a row ends before its last value does."""
        last = max(values.at for values in self._values)
        return len(cells) <= last or cells[last].endswith((".", ","))

    def _is_other_heading(self, cells: list[str]) -> bool:
        """Whether a row is a heading, and not the one of the table."""
        kinds = {heading.kind for cell in cells if (heading := heading_of(cell))}
        return self._named(cells) != self.named and len(kinds) > 1 and bool(kinds & TIMES)

    @staticmethod
    def _named(cells: Sequence[str]) -> list[str]:
        """The names of a heading, without the empty ones at its end."""
        names = [cell.strip() for cell in cells]
        while names and not names[-1]:
            names.pop()
        return names

    def _is_beside(self, cells: list[str], *, anything: bool) -> bool:
        """Whether a row without a time is no reading at all: empty there, the heading again, a line below."""
        text = self.times.text(cells)
        return (
            self._named(cells) == self.named
            or _NOTHING.fullmatch(text) is not None
            or (anything and _BELOW.fullmatch(text) is not None)
        )

    def told(self) -> str:
        """How the file was understood; empty where its form is that of the manual and all rows are used."""
        layout = self.layout
        if layout is None:
            return ""
        parts = []
        if not layout.plain or self.times.other_days or self.times.order:
            columns = " and ".join(f"'{shorten(c.written, 40)}'" for c in layout.when)
            order = f", {self.times.order.words}" if self.times.order else ""
            order += f" ({self.times.order.why})" if self.times.order and self.times.order.why else ""
            zone = f", as UTC{self.times.offset / 60:+g}" if self.times.offset is not None else ""
            values = " and ".join(f"'{shorten(c.written, 40)}'" for c in layout.values)
            unit = "°F" if layout.fahrenheit else "°C" if layout.unit_named else "°C, for no unit is named"
            times = f"{self.times.name}s are read from {columns}{order}{zone}"
            parts.append(f"{times}, temperatures from {values} in {unit}")
        if self.left_out:
            line, text = self.first_left_out
            cell = f"'{shorten(text)}'" if text else "an empty cell"
            parts.append(f"left out: {self.left_out} of {self.total} rows, the first in line {line} ({cell})")
        return "; ".join(parts)
