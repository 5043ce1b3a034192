"""A report before it is laid out: words and tables, in parts with an empty line between.

``str()`` of it is plain text of 80 columns, for pipes, files and printers; a terminal may lay the same words
and tables out in another way. What is emphasised is never told by the emphasis alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from planner.report.texts.text import WIDTH, paragraph, table
from planner.season.reading.told_words import in_keepers_words
from planner.words import count

SCREEN = 24  # rows of a terminal
LEAST = 3  # rows that stay of a table cut to fit, as long as there is anything else to leave out
FEWEST = 1  # rows that stay in any case
SPARE_TABLE = 10  # a table that may be left out goes before words that may be: its rows are in a file

Tone = Literal["", "head", "warn"]  # what a terminal may show bold, or bold and in a colour


@dataclass(frozen=True)
class Words:
    """A heading, a sentence or a few: ``indent`` before the first row, and ``hang`` more before others.

    ``whole``: lines with commands to be copied, which are never broken. ``spare``: it may be left out where a
    screen has no room for it, those of a higher number first; 0: it is always told.
    """

    text: str
    indent: str = ""
    hang: str = ""
    tone: Tone = ""
    whole: bool = False
    spare: int = 0

    def lines(self, width: int = WIDTH) -> list[str]:
        """Wrapped to so many columns."""
        if self.whole:
            return [self.indent + line for line in self.text.splitlines()]
        return paragraph(in_keepers_words(self.text), self.indent, self.hang, width).splitlines()

    def __str__(self) -> str:
        return "\n".join(self.lines())


@dataclass(frozen=True)
class Table:
    """Rows under column names. ``flexible``: the columns that may be wrapped.

    ``notes``: for each row what is to be heeded, or nothing. ``warn``: rows that deserve a look. ``spare``:
    columns that a narrow terminal may leave out, the first first. ``rest``: where the rows are that a screen
    has no room for, such as ``--all shows them``; without it none may be left out, with it ``least`` stay;
    0: the table as well. ``more``: how many are left out.
    """

    head: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    flexible: tuple[int, ...]
    indent: str = ""
    notes: tuple[str, ...] = ()
    warn: tuple[int, ...] = ()
    spare: tuple[int, ...] = ()
    rest: str = ""
    more: int = 0
    least: int = LEAST

    def first(self, rows: int) -> Table:
        """The first so many rows, those that deserve a look before others; the rest is counted."""
        by_need = sorted(range(len(self.rows)), key=lambda k: (k not in self.warn, k))
        left = sorted(by_need[:rows])
        return replace(
            self,
            rows=[self.rows[k] for k in left],
            notes=tuple(self.notes[k] for k in left) if self.notes else (),
            warn=tuple(i for i, k in enumerate(left) if k in self.warn),
            more=self.more + len(self.rows) - len(left),
        )

    @property
    def told_head(self) -> tuple[str, ...]:
        """The names of the columns in the keeper's words."""
        return tuple(map(in_keepers_words, self.head))

    @property
    def after(self) -> list[str]:
        """The line below a table that is cut."""
        return [f"{self.indent}and {count(self.more, 'more row')}: {self.rest}"] if self.more else []

    def lines(self, width: int = WIDTH) -> list[str]:
        """Laid out in so many columns, wide ones wrapped."""
        head = [self.told_head] if any(self.head) else []
        notes = ("",) * len(head) + self.notes if self.notes else ()
        return table([*head, *self.rows], self.flexible, self.indent, notes, width) + self.after

    def __str__(self) -> str:
        return "\n".join(self.lines())


Block = Words | Table
Parts = list[list[Block]]


@dataclass(frozen=True)
class Sheet:
    """Parts of blocks."""

    parts: tuple[tuple[Block, ...], ...]

    @classmethod
    def of(cls, parts: Iterable[Iterable[Block]]) -> Sheet:
        """Leave out empty parts."""
        return cls(tuple(part for part in map(tuple, parts) if part))

    def within(self, lines: int = SCREEN, *, ruled: bool = False) -> Sheet:
        """Cut the longest tables, and leave out what is spare, until all takes so many lines if it can.

        ``ruled``: a terminal draws a line below the head of each table.
        """

        parts = [
            [block.first(lines) if isinstance(block, Table) and block.rest else block for block in part]
            for part in self.parts
        ]
        while _height(cut := _with_shorter_tables(parts, lines, LEAST, ruled), ruled) > lines:
            if (spare := _sparest(parts)) is None:
                cut = _with_shorter_tables(parts, lines, FEWEST, ruled)
                break
            i, j = spare
            del parts[i][j]
        return Sheet.of(cut)

    def __str__(self) -> str:
        return "\n\n".join("\n".join(map(str, part)) for part in self.parts) + "\n"


def _height(parts: Parts, ruled: bool) -> int:
    """Lines of all parts, with an empty one between."""
    blocks = [block for part in parts for block in part]
    rules = sum(isinstance(block, Table) for block in blocks) if ruled else 0
    return sum(len(block.lines()) for block in blocks) + rules + max(0, sum(map(bool, parts)) - 1)


def _with_shorter_tables(parts: Parts, lines: int, least: int, ruled: bool) -> Parts:
    """Cut the longest tables, down to ``least`` rows, until all takes so many lines if it can.

    Those that may be left out are cut before the others.
    """
    cut = [[*part] for part in parts]
    over = _height(cut, ruled) - lines
    while over > 0:
        cuttable = [
            (not block.least, len(block.rows), i, j)
            for i, part in enumerate(cut)
            for j, block in enumerate(part)
            if isinstance(block, Table) and block.rest and len(block.rows) > least
        ]
        if not cuttable:
            break
        _, rows, i, j = max(cuttable)
        before = cut[i][j]
        assert isinstance(before, Table)
        cut[i][j] = after = before.first(rows - 1)
        over -= len(before.lines()) - len(after.lines())
    return cut


def _sparest(parts: Parts) -> tuple[int, int] | None:
    """Part and place in it of what is left out first, tables before words; None: nothing may be."""
    spare = [
        (-(block.spare if isinstance(block, Words) else SPARE_TABLE), i, j)
        for i, part in enumerate(parts)
        for j, block in enumerate(part)
        if (block.spare if isinstance(block, Words) else block.rest and not block.least)
    ]
    return min(spare)[1:] if spare else None
