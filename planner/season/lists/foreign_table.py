"""A keeper's own table, with columns of any name, and what its rows say once it is known which is what.

Nothing is taken on a guess that could be another thing: a date such as 03/07/2027 is read only when the
keeper has said that it is DD/MM/YYYY.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.season.places import fold
from planner.season.reading.problems import FaultyFiles, Problem, shorten
from planner.season.reading.scalars import parse_number, parse_when
from planner.season.reading.when import When
from planner.season.reading.yaml_text import decode

LARGEST = 20_000_000  # bytes
MOST_NUMBER = 5000
MOST_COLUMNS = 1000
MOST_ROWS = 100_000
LONGEST_DATE = 60  # letters
ReadDay = Callable[[str], When]
# Not Mon or 3 days ago: in a table nobody knows from when on.
_DAY_AND_MONTH = re.compile(
    r"[0-9]{1,4}[./-][0-9]{1,2}([./-][0-9]{1,4})?|(?=.*[0-9])(?=.*[A-Za-z]{3})(?!.*ago).*"
)
_HOUR = re.compile(r"(.*?)(?:[T ]+([0-9]{1,2}):([0-5][0-9])(?::[0-9]{2})?)?")
_PARTS = {"DD": r"(?P<d>[0-9]{1,2})", "MM": r"(?P<m>[0-9]{1,2})", "YYYY": r"(?P<y>[0-9]{4})"}


@dataclass(frozen=True)
class ForeignTable:
    """Header and rows, each row with its line in the file."""

    file: str
    delimiter: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]

    def column(self, i: int) -> list[str]:
        """What stands in one column, without empty cells."""
        return [r[i].strip() for _, r in self.rows if i < len(r) and r[i].strip()]


@dataclass(frozen=True, kw_only=True)
class Found:
    """One row that was understood. ``point`` in the keeper's unit; ``pupated`` None: a prepupa."""

    line: int
    pupated: When | None
    place: str
    point: tuple[float, float] | None
    count: int
    species: str
    note: str


def read_foreign(data: bytes, file: str) -> ForeignTable:
    """Read a table cut by commas, semicolons or tabs. Raises FaultyFiles."""
    text = decode(data, file, LARGEST)
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    found: list[tuple[int, tuple[str, ...]]] = []
    line = 1
    try:
        for cells in reader:
            if len(cells) > MOST_COLUMNS or len(found) > MOST_ROWS:
                what = f"the table is too large: at most {MOST_COLUMNS} columns and {MOST_ROWS} rows are read"
                raise FaultyFiles([Problem(file, line, 0, "", what)])
            if any(c.strip() for c in cells):
                found.append((line, tuple(cells)))
            line = reader.line_num + 1
    except csv.Error as e:
        raise FaultyFiles([Problem(file, line, 0, "", f"is not a table: {e}")]) from None
    if not found:
        what = "the file is empty: its first line must name the columns"
        raise FaultyFiles([Problem(file, 0, 0, "", what)])
    (at, header), rows = found[0], tuple(found[1:])
    names = tuple(c.strip() for c in header)
    times = Counter(map(fold, names))
    faults = [
        Problem(file, at, 0, "", f"column '{shorten(n, 30)}' is there twice")
        for n in dict.fromkeys(names)
        if n and times[fold(n)] > 1
    ]
    faults += [
        Problem(file, at, 0, "", f"has {len(r)} cells, the first line names {len(names)} columns")
        for at, r in rows
        if any(c.strip() for c in r[len(names) :])
    ]
    if not rows:
        faults.append(Problem(file, 0, 0, "", "there is no row below the names of the columns"))
    if faults:
        raise FaultyFiles(faults)
    return ForeignTable(file, delimiter, names, rows)


def check_pattern(text: str) -> str:
    """A form of dates such as ``DD/MM/YYYY``. Raises ValueError saying what is allowed."""
    if sorted(re.findall(r"[A-Z]+", text.upper())) != ["DD", "MM", "YYYY"]:
        raise ValueError(f"'{shorten(text)}': write how dates look with DD, MM and YYYY, such as DD/MM/YYYY")
    return text.upper()


def parse_day(text: str, pattern: str, read_day: ReadDay = parse_when) -> When:
    """A date as ISO 8601 or, where one was stated, in the keeper's form. Raises ValueError.

    ``read_day``: reads other dates that name their day and month, where no form was stated.
    """
    match = _HOUR.fullmatch(text.strip()) if len(text) <= LONGEST_DATE else None
    if match is None:  # far too long, or of several lines
        return parse_when(text)
    whole, hour, minute = match.groups()
    tail = f"T{int(hour):02}:{minute}" if hour else ""
    if pattern:
        form = "".join(_PARTS.get(p, re.escape(p)) for p in re.findall(r"DD|MM|YYYY|.", pattern))
        if match := re.fullmatch(form, whole):
            day, month, year = (int(match[k]) for k in "dmy")
            try:
                return parse_when(date(year, month, day).isoformat() + tail)
            except ValueError:
                raise ValueError(f"'{shorten(text)}': there is no such day, read as {pattern}") from None
    try:
        return parse_when(whole + tail)
    except ValueError as e:
        if pattern and "is not a date" in str(e):
            raise ValueError(f"'{shorten(text)}' is neither {pattern} nor 2027-07-03") from None
        if _DAY_AND_MONTH.fullmatch(whole) and "is not a date" in str(e):
            return read_day(text)
        raise


def understand(
    table: ForeignTable,
    columns: Mapping[str, str],
    pattern: str,
    lid: str,
    read_day: ReadDay = parse_when,
) -> Sequence[Found]:
    """What each row says; ``lid``: for rows that name none. Raises FaultyFiles with all faults."""
    faults: list[Problem] = []
    at = {target: table.header.index(name) for name, target in columns.items()}
    found = [
        _RowReader(table, at, line, row, faults, read_day).found(pattern, lid) for line, row in table.rows
    ]
    if faults:
        raise FaultyFiles(faults)
    return found


@dataclass(frozen=True)
class _RowReader:
    table: ForeignTable
    at: Mapping[str, int]
    line: int
    row: tuple[str, ...]
    faults: list[Problem]
    read_day: ReadDay

    def text(self, target: str) -> str:
        i = self.at.get(target, len(self.row))
        return self.row[i].strip() if i < len(self.row) else ""

    def fault(self, target: str, what: str) -> None:
        name = self.table.header[self.at[target]] if target in self.at else target
        self.faults.append(Problem(self.table.file, self.line, 0, shorten(name, 30), what))

    def number(self, target: str) -> float | None:
        written = self.text(target)
        value = parse_number(written.replace(",", ".") if self.table.delimiter != "," else written)
        if written and value is None:
            self.fault(target, f"'{shorten(written)}' is not a number")
        return value

    def pupated(self, pattern: str) -> When | None:
        text = self.text("pupated")
        if text.lower() == "prepupa":
            return None
        try:
            return parse_day(text, pattern, self.read_day)
        except ValueError as e:
            self.fault("pupated", str(e) if text else "is missing: write a date, or prepupa")
            return None

    def count(self, *, measured: bool) -> int:
        number = self.number("count")
        count = 1 if number is None else int(number)
        if number is not None and (number != count or not 1 <= count <= MOST_NUMBER):
            self.fault("count", f"{self.text('count')}: allowed is a whole number from 1 to {MOST_NUMBER}")
        elif measured and count > 1:
            self.fault("count", f"{count} pupae cannot hang in one point: write a row for each")
        return count

    def found(self, pattern: str, lid: str) -> Found:
        pupated, x, y = self.pupated(pattern), self.number("x"), self.number("y")
        if bool(self.text("x")) != bool(self.text("y")):
            self.fault("x", "write both x and y, or neither")
        if not (place := self.text("place") or lid):
            self.fault("place", "is missing: write the lid on which it formed")
        return Found(
            line=self.line,
            pupated=pupated,
            place=place,
            point=None if x is None or y is None else (x, y),
            count=self.count(measured=x is not None),
            species=self.text("species").lower(),
            note=self.text("note"),
        )
