"""Words and tables on a terminal: as wide as it is, heads in bold, numbers under one another.

rich does the tables. It is loaded with this file, which is loaded only where a terminal is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TextIO

from rich import box
from rich.padding import Padding
from rich.table import Table as RichTable
from rich.text import Text

from planner.cli.shell.terminal import console
from planner.report.texts.sheet import Block, Sheet, Table
from planner.report.texts.text import NARROW, columns
from planner.season.reading.told_words import in_keepers_words

NEXT = "Next:"
STYLES = {"": "", "head": "bold", "warn": "bold red"}
_NUMBER = re.compile(r"[-+<>]?[0-9.,]+( %)?|[-?]?|none")


def lay_out(what: str | Block | Sheet, stream: TextIO, clean: Callable[[str], str]) -> None:
    """Print to a terminal. ``clean`` makes a text fit for it."""
    on = console(stream)
    for i, part in enumerate(what.parts if isinstance(what, Sheet) else ((what,),)):
        if i:
            on.print()
        for block in part:
            if isinstance(block, Table):
                left = len(block.indent)
                on.print(Padding(_table(block, on.width - left, clean), (0, 0, 0, left), expand=False))
                for text in block.after:
                    on.print(Text(text), soft_wrap=True)
                continue
            if isinstance(block, str):
                text, tone = in_keepers_words(block), "head" if block.startswith(NEXT) else ""
            else:
                text, tone = "\n".join(block.lines(on.width)), block.tone
                if block.text.startswith(NEXT):
                    tone = "head"
            on.print(Text(clean(text), style=STYLES[tone]), soft_wrap=True)


def _table(table: Table, room: int, clean: Callable[[str], str]) -> RichTable:
    """As wide as its cells ask for; where that is too wide, cells are wrapped and spare columns left out.

    A row's note goes into its last wide cell. Nothing else is cut off.
    """
    rows = [[clean(c).strip() for c in row] for row in (table.told_head, *table.rows)]
    widths = [max(map(columns, column)) for column in zip(*rows, strict=True)]
    least = {k: min(w, NARROW) if k in table.flexible else w for k, w in enumerate(widths)}
    for k in table.spare:
        if _total(least) > room:
            del least[k]
    firm = _total(least) <= room
    for row, note in zip(rows[1:], table.notes, strict=False):
        if note:
            row[table.flexible[-1]] += f"\n{clean(note)}"
    made = RichTable(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0),
                     show_header=any(table.head), header_style="bold")  # fmt: skip
    for k in least:
        cells = [row[k] for row in rows[1:]]
        right = any(cells) and all(_NUMBER.fullmatch(c) for c in cells)
        made.add_column(
            rows[0][k],
            justify="right" if right else "left",
            no_wrap=firm and k not in table.flexible,
            overflow="fold",
        )
    for i, row in enumerate(rows[1:]):
        made.add_row(*(Text(row[k]) for k in least), style=STYLES["warn"] if i in table.warn else "")
    return made


def _total(widths: Mapping[int, int]) -> int:
    return sum(widths.values()) + 2 * (len(widths) - 1)
