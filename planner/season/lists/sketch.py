"""A lid drawn in letters: each letter a pupa, each dot an empty piece of the lid.

::

    lid: tub-2
    a = 2027-07-03
    b = 2027-07-05T14:30
    . a . . .
    . . a . b

The first line is the lid's far edge, where y is greatest; the grid is stretched to the lid's width and
length, and a pupa hangs in the middle of its piece. ``x`` stands for the date of the call unless it has a
line of its own, ``j = prepupa`` for those without a date. The same may be written as a little YAML, with
``dates:`` above the letters and ``sketch: |`` above the grid.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from planner.season.places import Lid
from planner.season.reading.problems import FaultyFiles, Problem, shorten
from planner.season.reading.scalars import parse_when
from planner.season.reading.when import When
from planner.season.reading.yaml_text import decode

LARGEST = 1_000_000  # bytes
MOST_ACROSS = 500  # pieces in one direction: finer than anybody draws
PREPUPA = "prepupa"
PLAIN = "x"
_KEYED = re.compile(r"\s*+([^\W\d_]++)\s*+[:=](.*+)", re.DOTALL)  # possessive: no line is gone over twice
_WORDS = ("lid", "species", "note")
_FRAMES = {"dates": "", "sketch": "|"}


@dataclass(frozen=True)
class Drawn:
    """One letter of a sketch: ``column`` and ``row`` count from 0 at the upper left; ``line`` in the file."""

    letter: str
    column: int
    row: int
    line: int


@dataclass(frozen=True)
class Sketch:
    """A grid ``columns`` by ``rows``. ``dates``: of each letter, None for prepupae."""

    columns: int
    rows: int
    drawn: tuple[Drawn, ...]
    dates: dict[str, When | None]
    words: dict[str, str]

    def point(self, one: Drawn, lid: Lid) -> tuple[float, float]:
        """Where on a lid it hangs, cm."""
        x = (one.column + 0.5) * lid.width / self.columns
        y = (self.rows - one.row - 0.5) * lid.length / self.rows
        return x, y


def read_sketch(data: bytes, file: str, read_date: Callable[[str], When] = parse_when) -> Sketch:
    """Read a sketch, or raise FaultyFiles with everything that is wrong with it.

    ``read_date``: reads a date, or raises ValueError saying what is wrong with it.
    """
    reader = _Reader(file, read_date)
    for number, text in enumerate(decode(data, file, LARGEST).splitlines(), start=1):
        reader.line(number, text)
    return reader.sketch()


@dataclass
class _Reader:
    file: str
    read_date: Callable[[str], When]
    grid: list[tuple[int, str, str]] = field(default_factory=list)  # line, indent, cells
    dates: dict[str, When | None] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    faults: list[Problem] = field(default_factory=list)
    broken: int = 0

    def fault(self, line: int, column: int, what: str) -> None:
        self.faults.append(Problem(self.file, line, column, "", what))

    def line(self, number: int, text: str) -> None:
        if not text.strip():
            self.broken = number if self.grid else 0
        elif text.lstrip().startswith("#"):
            return
        elif keyed := _KEYED.fullmatch(text):
            self.keyed(number, keyed[1], keyed[2].strip().strip("\"'"))
        elif "\t" in text:
            self.fault(
                number, text.index("\t") + 1, "a tab has no certain width: write one dot for each empty piece"
            )
        else:
            self.cells(number, text)

    def keyed(self, line: int, name: str, value: str) -> None:
        if self.grid and not self.broken:
            self.broken = line
        if name.lower() in _FRAMES and len(name) > 1:
            if value != _FRAMES[name.lower()]:
                only = f"{name}: {_FRAMES[name.lower()]}".strip()
                self.fault(line, 1, f"write only '{only}' here, the rest in lines below")
        elif name.lower() in _WORDS and len(name) > 1:
            if name.lower() in self.words:
                self.fault(line, 1, f"{name} is given twice")
            self.words[name.lower()] = value
        elif len(name) > 1:
            allowed = ", ".join((*_WORDS, *_FRAMES))
            self.fault(line, 1, f"'{shorten(name, 20)}' is neither one letter nor one of {allowed}")
        elif name in self.dates:
            self.fault(line, 1, f"'{name}' is given twice")
        else:
            self.dates[name] = None
            if value.lower() != PREPUPA:
                try:
                    self.dates[name] = self.read_date(value)
                except ValueError as e:
                    self.fault(line, 1, f"{name}: {e}, or {PREPUPA}")

    def cells(self, line: int, text: str) -> None:
        if self.broken:
            self.fault(line, 1, f"the grid is interrupted in line {self.broken}: write an empty row in dots")
            self.broken = 0
        inner = text.strip()
        cells = inner[::2] if set(inner[1::2]) == {" "} else inner
        for i, c in enumerate(cells):
            if c != "." and not c.isalpha():
                what = "an empty piece is written as a dot" if c == " " else "allowed are letters and dots"
                self.fault(
                    line,
                    text.index(c) + 1 if c != " " else text.index(inner) + i + 1,
                    f"'{shorten(c)}': {what}",
                )
                break
        else:
            self.grid.append((line, text[: len(text) - len(text.lstrip())], cells))

    def sketch(self) -> Sketch:
        if not self.grid and not self.faults:
            self.fault(
                0, 0, "there is no sketch in it: write the lid in rows of dots, with a letter for each pupa"
            )
        first, indent, cells = self.grid[0] if self.grid else (0, "", "")
        for line, other, row in self.grid[1:]:
            if len(row) != len(cells):
                self.fault(
                    line,
                    1,
                    f"has {len(row)} pieces, line {first} has {len(cells)}: all rows must be equally long",
                )
            elif other != indent:
                self.fault(
                    line,
                    1,
                    f"begins further left or right than line {first}: an empty piece is written as a dot",
                )
        if max(len(cells), len(self.grid)) > MOST_ACROSS:
            self.fault(
                first, 1, f"{len(cells)} by {len(self.grid)} pieces: allowed are {MOST_ACROSS} each way"
            )
        drawn = [
            Drawn(c, column, row, line)
            for row, (line, _, found) in enumerate(self.grid)
            for column, c in enumerate(found)
            if c != "."
        ]
        seen: set[str] = {PLAIN}
        for one in drawn:
            if one.letter not in self.dates and one.letter not in seen:
                seen.add(one.letter)
                self.fault(
                    one.line,
                    0,
                    f"'{one.letter}' has no date: add a line {one.letter} = 2027-07-03, "
                    f"or draw {PLAIN} for the date of the call",
                )
        letters = {one.letter for one in drawn}
        if unused := [a for a in self.dates if a not in letters]:
            self.fault(0, 0, f"'{unused[0]}' has a date but is not in the grid")
        if not drawn and not self.faults:
            self.fault(first, 1, "the grid is empty: write a letter for each pupa")
        if self.faults:
            raise FaultyFiles(self.faults)
        return Sketch(len(cells), len(self.grid), tuple(drawn), self.dates, self.words)
