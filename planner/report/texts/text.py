"""Rows and columns for texts that a keeper reads in a terminal or on paper.

Everything here is plain ASCII but for the keeper's own names, so that any terminal and printer can show it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from itertools import zip_longest

WIDTH = 80
NARROW = 8  # columns to which a wide cell of a table may shrink, on paper and on a terminal
JOINER = "\N{ZERO WIDTH JOINER}"
CAUTION = "Never move a soft or darkening pupa. Pins and tweezers are sharp."


def columns(text: str) -> int:
    """How many columns of a terminal a text takes: East Asian letters take two, accents set apart none."""
    if text.isascii():  # nearly all there is, and asked for a hundred thousand times in a large season
        return len(text)
    if JOINER in text:  # signs joined into one; only then, for it takes time to load
        from rich.cells import cell_len

        return cell_len(text)
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    return len(text) + wide - sum(unicodedata.combining(c) != 0 for c in text)


def pad(text: str, width: int) -> str:
    """Fill a text with space on its right."""
    return text + " " * (width - columns(text))


def wrap(text: str, width: int) -> list[str]:
    """Break a text at its spaces into rows of at most ``width`` columns; longer words are cut."""
    rows = [""]
    for word in text.split():
        joined = f"{rows[-1]} {word}" if rows[-1] else word
        if columns(joined) <= width:
            rows[-1] = joined
            continue
        if rows[-1]:
            rows.append("")
        for letter in word:
            if columns(rows[-1] + letter) > width:
                rows.append("")
            rows[-1] += letter
    return rows


def paragraph(text: str, indent: str = "", hang: str = "", width: int = WIDTH) -> str:
    """Wrap a text to a page's width: ``indent`` before the first row, and ``hang`` more before others."""
    rows = wrap(text, width - len(indent) - len(hang))
    return "\n".join(indent + (hang if i else "") + row for i, row in enumerate(rows))


def table(
    rows: Sequence[Sequence[str]],
    flexible: Sequence[int],
    indent: str = "",
    notes: Sequence[str] = (),
    width: int = WIDTH,
) -> list[str]:
    """Lay out rows of equally many cells, two spaces between columns, as lines within the page's width.

    Where that is too narrow the ``flexible`` columns are wrapped, the widest most, down to ``NARROW``.
    ``notes``: for each row a text to stand below it, from the second column on, or nothing.
    """
    widths = [max(map(columns, column)) for column in zip(*rows, strict=True)]
    room = width - len(indent) - 2 * (len(widths) - 1)
    while sum(widths) > room and (most := max(widths[k] for k in flexible)) > NARROW:
        widths[next(k for k in flexible if widths[k] == most)] -= 1
    lines = []
    for row, note in zip_longest(rows, notes, fillvalue=""):
        wrapped = [wrap(c, widths[k]) if k in flexible else [c] for k, c in enumerate(row)]
        for cells in zip_longest(*wrapped, fillvalue=""):
            line = "  ".join(pad(cell, wide) for cell, wide in zip(cells, widths, strict=True))
            lines.append((indent + line).rstrip())
        if note:
            lines += paragraph(note, indent + " " * (widths[0] + 2), width=width).splitlines()
    return lines
