"""``pupae.csv`` as a table that survives being rewritten.

Cells keep the text they were written with, quotes included, and rows their own line ending; a change replaces
the cells it names and nothing else. So unknown columns, row order, delimiter, byte order mark and a keeper's
own formulas come back byte for byte.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.season.pupae import ADDED, COLUMNS
from planner.season.reading.problems import FaultyFiles, Problem, shorten
from planner.season.reading.scalars import did_you_mean
from planner.season.reading.yaml_text import decode

FILE = "pupae.csv"
KNOWN = (*COLUMNS, *ADDED)
NEEDED = ("id", "pupated", "place")
NUMBERS = ("spot", "x", "y")  # columns whose numbers have a decimal comma where the table has
LARGEST = 20_000_000  # bytes
MOST_COLUMNS = 1000
LONGEST_HEADER = 100_000  # letters, in which the delimiter is looked for
MOST_CELLS = 500_000  # of all rows, each reckoned as wide as the header: a change may fill them up
_BOM = b"\xef\xbb\xbf"
_ENDS = re.compile(r"\r\n|\n|\r")
_TO_LINE_END = re.compile(r"[^\r\n]*")


@dataclass(frozen=True, slots=True)
class Cell:
    """``raw`` as in the file, ``value`` without quotes; ``line`` and ``column``, from 1, of its beginning."""

    raw: str
    value: str
    line: int
    column: int

    @property
    def blank(self) -> bool:
        """Nothing but space."""
        return not self.value.strip()


@dataclass(frozen=True, slots=True)
class Row:
    """One record with the line ending behind it (empty at the end of a file that has none)."""

    cells: tuple[Cell, ...]
    end: str
    line: int

    @property
    def blank(self) -> bool:
        """A row as spreadsheets leave behind, without anything in it."""
        return all(c.blank for c in self.cells)


@dataclass(frozen=True)
class Table:
    """A header and rows. ``at``: the index of each known column the header has."""

    bom: bool
    delimiter: str
    header: Row
    rows: tuple[Row, ...]
    at: Mapping[str, int]

    @property
    def decimal_comma(self) -> bool:
        """Whether commas are free to stand in numbers."""
        return self.delimiter != ","

    @property
    def writes_commas(self) -> bool:
        """Whether numbers are written with decimal commas here, as those that stand here are.

        Where none has a decimal yet, semicolons tell that the spreadsheet has commas: it would make a date
        of ``12.5``.
        """
        if not self.decimal_comma:
            return False
        numbers = [text for row in self.records() for c in NUMBERS if (text := self.text(row, c))]
        if any("," in text for text in numbers):
            return True
        return self.delimiter == ";" and not any("." in text for text in numbers)

    def pointed(self, text: str) -> str:
        """A number with a decimal point, however it stands in a cell."""
        return text.replace(",", ".") if self.decimal_comma else text

    def cell(self, row: Row, column: str) -> Cell:
        """The cell of a known column; an empty one at the row's end where the row or the table has none."""
        i = self.at.get(column, len(row.cells))
        if i < len(row.cells):
            return row.cells[i]
        last = row.cells[-1]
        return Cell("", "", last.line, last.column)

    def text(self, row: Row, column: str) -> str:
        """The cell's text without space around it."""
        return self.cell(row, column).value.strip()

    def records(self) -> Iterable[Row]:
        """Rows that hold something."""
        return (r for r in self.rows if not r.blank)

    def to_bytes(self) -> bytes:
        """The file, with everything that was not changed as it was."""
        parts = [self.delimiter.join(c.raw for c in r.cells) + r.end for r in (self.header, *self.rows)]
        return (_BOM if self.bom else b"") + "".join(parts).encode("utf-8")


def read_table(data: bytes, file: str = FILE) -> Table:
    """Read a table, or raise FaultyFiles with all faults of its form (not of what its cells say)."""
    text = decode(data, file, LARGEST)
    if not text.strip():
        what = f"the file is empty: its first line must name the columns, at least {', '.join(NEEDED)}"
        raise FaultyFiles([Problem(file, 0, 0, "", what)])
    delimiter = _find_delimiter(text)
    rows, problems = _split(text, delimiter, file)
    header, body = rows[0], rows[1:]
    width, cells = len(header.cells), sum(len(r.cells) for r in rows)
    if width > MOST_COLUMNS or max(cells, sum(not r.blank for r in rows) * width) > MOST_CELLS:
        raise FaultyFiles([*problems, _too_large(file)])
    at, faults = _columns(header, file)
    problems += faults
    for row in body:
        extra = next((c for c in row.cells[len(header.cells) :] if not c.blank), None)
        if extra:
            what = (
                f"'{shorten(extra.value)}' stands beyond the last of {len(header.cells)} columns: "
                f"put text that holds '{_visible(delimiter)}' in double quotes"
            )
            problems.append(Problem(file, extra.line, extra.column, "", what))
    if problems:
        raise FaultyFiles(problems)
    return Table(data.startswith(_BOM), delimiter, header, tuple(body), at)


def texts(data: bytes) -> dict[str, dict[str, str]]:
    """What the known columns of each row hold, by the id in it; numbers with a decimal point."""
    table = read_table(data)

    def told(row: Row, column: str) -> str:
        text = table.text(row, column)
        return table.pointed(text) if column in NUMBERS else text

    return {table.text(row, "id"): {c: told(row, c) for c in table.at} for row in table.records()}


def _split(text: str, delimiter: str, file: str) -> tuple[list[Row], list[Problem]]:
    """Cut text into rows and cells, remembering where each began."""
    form = re.compile(
        rf"([^{delimiter}\r\n]*)({delimiter}|\r\n|\n|\r|\Z)"
    )  # what stands bare, and the cell's end
    rows: list[Row] = []
    problems: list[Problem] = []
    cells: list[Cell] = []
    at, line, line_start, first, count = 0, 1, 0, 1, 0
    while match := form.match(text, bare_from := _behind_quotes(text, at)):
        bare, end = match.groups()
        column = at - line_start + 1
        if bare_from == at:
            if bare.startswith('"'):
                problems.append(Problem(file, line, column, "", "this double quote is never closed"))
                break
            cells.append(Cell(bare, bare, line, column))
        else:
            quoted = text[at + 1 : bare_from - 1].replace('""', '"')
            cells.append(Cell(text[at : match.start(2)], quoted, line, column))
            for inner in _ENDS.finditer(text, at, bare_from - 1):
                line, line_start = line + 1, inner.end()
            if bare.strip():
                what = f"'{shorten(bare.strip())}' behind a closing quote: double the quotes within a cell"
                problems.append(Problem(file, line, match.start(1) - line_start + 1, "", what))
        at = match.end()
        count += 1
        if len(cells) > MOST_COLUMNS or count > MOST_CELLS:
            return rows or [Row(tuple(cells), "", 1)], [*problems, _too_large(file)]
        if end != delimiter:
            rows.append(Row(tuple(cells), end, first))
            if at == len(text):
                break
            cells, line, line_start, first = [], line + 1, at, line + 1
    return rows or [Row((Cell("", "", 1, 1),), "", 1)], problems


def _behind_quotes(text: str, at: int) -> int:
    """Where a quoted part that begins ``at`` has ended; ``at`` itself where there is none, or no end of it.

    Not by one pattern: possessive ones that hold others are matched wrongly by Python before 3.11.5.
    """
    end = at
    while text.startswith('"', end) and (closed := text.find('"', end + 1)) >= 0:
        end = closed + 1
        if not text.startswith('"', end):
            return end
    return at


def _too_large(file: str) -> Problem:
    what = f"the table is too large: at most {MOST_COLUMNS} columns and {MOST_CELLS} cells are read"
    return Problem(file, 0, 0, "", what)


def _columns(header: Row, file: str) -> tuple[dict[str, int], list[Problem]]:
    """Find the known columns, whatever their case."""
    at: dict[str, int] = {}
    problems = []
    for i, cell in enumerate(header.cells):
        name = cell.value.strip().lower()
        if name in at:
            what = f"column '{name}' is there twice"
            problems.append(Problem(file, cell.line, cell.column, "", what))
        elif name in KNOWN:
            at[name] = i
    names = [c.value.strip() for c in header.cells if c.value.strip().lower() not in KNOWN]
    for needed in NEEDED:
        if needed not in at:
            what = f"column '{needed}' is missing: the first line must name the columns"
            near = did_you_mean(needed, names).replace("did you mean", "is it")
            problems.append(Problem(file, header.line, 1, "", what + near))
    return at, problems


def _find_delimiter(text: str) -> str:
    """The one of comma, semicolon and tab that cuts the first line into most known names."""
    match = _TO_LINE_END.match(text)
    first = match[0][:LONGEST_HEADER] if match else ""

    def known(delimiter: str) -> tuple[int, int]:
        names = Counter(n.strip().strip('"').strip().lower() for n in first.split(delimiter))
        return sum(names[c] for c in COLUMNS), first.count(delimiter)

    return max((",", ";", "\t"), key=known)


def _visible(delimiter: str) -> str:
    return "a tab" if delimiter == "\t" else delimiter
