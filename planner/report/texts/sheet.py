"""A report before it is laid out: words and tables, in parts with an empty line between.

``str()`` of it is plain text of 80 columns, for pipes, files and printers; a terminal may lay the same words
and tables out in another way. What is emphasised is never told by the emphasis alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from planner.report.texts.text import WIDTH, paragraph, table

Tone = Literal["", "head", "warn"]  # what a terminal may show bold, or bold and in a colour


@dataclass(frozen=True)
class Words:
    """A heading, a sentence or a few: ``indent`` before the first row, and ``hang`` more before others.

    ``whole``: a command to be copied, which is never broken.
    """

    text: str
    indent: str = ""
    hang: str = ""
    tone: Tone = ""
    whole: bool = False

    def lines(self, width: int = WIDTH) -> list[str]:
        """Wrapped to so many columns."""
        if self.whole:
            return [self.indent + self.text]
        return paragraph(self.text, self.indent, self.hang, width).splitlines()

    def __str__(self) -> str:
        return "\n".join(self.lines())


@dataclass(frozen=True)
class Table:
    """Rows under column names. ``flexible``: the columns that may be wrapped.

    ``notes``: for each row what is to be heeded, or nothing. ``warn``: rows that deserve a look. ``spare``:
    columns that a narrow terminal may leave out, the first first.
    """

    head: tuple[str, ...]
    rows: Sequence[tuple[str, ...]]
    flexible: tuple[int, ...]
    indent: str = ""
    notes: tuple[str, ...] = ()
    warn: tuple[int, ...] = ()
    spare: tuple[int, ...] = ()

    def lines(self, width: int = WIDTH) -> list[str]:
        """Laid out in so many columns, wide ones wrapped."""
        head = [self.head] if any(self.head) else []
        notes = ("",) * len(head) + self.notes if self.notes else ()
        return table([*head, *self.rows], self.flexible, self.indent, notes, width)

    def __str__(self) -> str:
        return "\n".join(self.lines())


Block = Words | Table


@dataclass(frozen=True)
class Sheet:
    """Parts of blocks."""

    parts: tuple[tuple[Block, ...], ...]

    @classmethod
    def of(cls, parts: Iterable[Iterable[Block]]) -> Sheet:
        """Leave out empty parts."""
        return cls(tuple(part for part in map(tuple, parts) if part))

    def __str__(self) -> str:
        return "\n\n".join("\n".join(map(str, part)) for part in self.parts) + "\n"
