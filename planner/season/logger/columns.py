"""Which column of a table of temperatures is what: by its name, and where that is not enough by its cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.season.logger.days import HALF, split
from planner.season.logger.heading import Heading, unit_of
from planner.season.logger.number import number_of
from planner.season.reading.problems import shorten

Rows = Sequence[Sequence[str]]


@dataclass(frozen=True)
class Column:
    """One column: where it stands, counted from 0, the name it has in the file, and what that says."""

    at: int
    written: str
    heading: Heading
    fahrenheit: bool = False


@dataclass(frozen=True)
class NoLayout:
    """Why a table cannot be read. ``line``: of the heading, as far as one was found."""

    line: int
    what: str


def column_stated(at: int, written: str) -> Column:
    """The column that the keeper has named as the temperature, whatever its name says."""
    fahrenheit, name = unit_of(written)
    return Column(at, written, Heading("temperature", 0, name, fahrenheit), bool(fahrenheit))


def same_name(columns: Sequence[Column]) -> NoLayout:
    """What is told of several columns with one name."""
    *first, last = (str(column.at + 1) for column in columns)
    those = f"columns {', '.join(first)} and {last} are all named '{shorten(columns[0].written, 40)}'"
    return NoLayout(0, f"{those.replace(' all', '') if len(first) == 1 else those}: give each another name")


def cell_of(row: Sequence[str], column: Column) -> str:
    """What stands in a column of a row; nothing where the row is shorter."""
    return row[column.at].strip() if column.at < len(row) else ""


def with_units(columns: list[Column], row: Sequence[str]) -> tuple[list[Column], bool]:
    """The columns with the units of a line of units below the heading, and whether it is one."""
    found, any_unit = list[Column](), False
    for column in columns:
        fahrenheit, rest = unit_of(cell_of(row, column))
        if fahrenheit is not None and not rest.strip(" ()[]") and column.heading.fahrenheit is None:
            heading = replace(column.heading, fahrenheit=fahrenheit)
            column, any_unit = Column(column.at, column.written, heading, fahrenheit), True
        found.append(column)
    return found, any_unit


def time_of(columns: Sequence[Column], rows: Rows) -> tuple[Column, ...]:
    """The columns of the time: one that has it all, or one of the day and one of the hour.

    At least one of the columns must name a day or an hour.
    """

    def first(kind: str) -> Column | None:
        those = [column for column in columns if column.heading.kind == kind]
        return max(those, key=lambda column: (column.heading.rank, column.at)) if those else None

    moment, date, time = first("moment"), first("date"), first("time")
    if moment is not None:
        hours_apart = time is not None and rows and not any(split(cell_of(row, moment))[1] for row in rows)
        return (moment, time) if time is not None and hours_apart else (moment,)
    if date is not None and time is not None:
        if any(split(cell_of(row, date))[1] for row in rows):
            return (date,)
        if any(all(split(cell_of(row, time))) for row in rows):
            return (time,)
    return tuple(column for column in (date, time) if column is not None)


def half_of(heading: Sequence[str], rows: Rows) -> Column | None:
    """The column that says AM or PM and nothing else, if there is one."""
    for at, written in enumerate(heading):
        column = Column(at, written.strip(), Heading("half", 0, "half"))
        cells = [cell for row in rows if (cell := cell_of(row, column))]
        if cells and all(map(HALF.fullmatch, cells)):
            return column
    return None


def one_of(columns: Sequence[Column], kind: str, rows: Rows) -> Column | NoLayout | None:
    """The column of a kind; of one thing in two units the first; NoLayout where two could be meant."""
    those = [column for column in columns if column.heading.kind == kind]
    if not those:
        return None
    best = max(column.heading.rank for column in those)
    those = [column for column in those if column.heading.rank == best]
    filled = [c for c in those if any(number_of(cell_of(row, c)).value is not None for row in rows)]
    those = filled or those
    alike = [column for column in those if column.written == those[-1].written]
    if len(alike) > 1:
        return same_name(alike)
    if best == 2:
        return those[-1]
    if len({column.heading.name for column in those}) > 1 or len({c.fahrenheit for c in those}) < len(those):
        names = " and ".join(f"'{shorten(column.written, 40)}'" for column in those[:2])
        unit = {True: " (°F)", False: " (°C)", None: ""}[those[0].heading.fahrenheit]
        which = f"rename the one that is meant to '{kind}{unit}'"
        if kind == "temperature":
            written = shorten(those[0].written, 40).replace("'", "''")
            which = f"in season.yaml write column: '{written}' beside the file, or the other one"
        return NoLayout(0, f"{names} could both be the {kind}: {which}")
    return those[0]
