"""Texts of a PDF in the bytes that matplotlib writes of them, each laid out once.

Of a large map most texts come many times, as days, months and tubs. Ids and spots come once, and are put
together from the pairs of letters that they consist of: to lay out each of 9,000 took half of the map's time.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from planner.draw.paper.words import font, others

_PLACED = re.compile(rb"(?:^|\n)q\n[-\d. ]+ cm\n(?=BT\n)")
_PAIR = re.compile(rb"(BT\n/\S+ \S+ Tf\n0 0 Td\n)\[ \((.)(?:\) (-?[\d.]+) \()?(.)\) \] TJ\nET\nQ\n")
_SIMPLE = re.compile(r"[A-Za-z0-9 .,:/-]{3,}")  # stand for themselves in a PDF


class PdfTexts:
    """The texts of one PDF."""

    def __init__(self) -> None:
        self._made: dict[tuple[str, float, bool], bytes | None] = {}

    def made(self, file: Any, words: str, size: float, bold: bool) -> bytes | None:
        """What is written of a text after its place; None where that is not known."""
        key = words, size, bold
        if key not in self._made:
            self._made[key] = self._joined(file, words, size, bold) or self._laid_out(file, words, size, bold)
        return self._made[key]

    def _joined(self, file: Any, words: str, size: float, bold: bool) -> bytes | None:
        """A text by its pairs of letters; None where letters merge, or are not of the first 256 of a face."""
        if not _SIMPLE.fullmatch(words):
            return None
        parts: list[bytes] = [words[0].encode()]
        for a, b in pairwise(words):
            pair = _PAIR.fullmatch(self.made(file, a + b, size, bold) or b"")
            if not pair or pair[2] + pair[4] != (a + b).encode():
                return None
            head = pair[1]
            if pair[3]:
                parts.append(b") %s (" % pair[3])
            parts.append(pair[4])
        return b"%s[ (%s) ] TJ\nET\nQ\n" % (head, b"".join(parts))

    def _laid_out(self, file: Any, words: str, size: float, bold: bool) -> bytes | None:
        """A text as matplotlib lays it out; None where it is not begun by its place."""
        from matplotlib.backends.backend_pdf import RendererPdf  # much to load, and only for a PDF

        parts: list[bytes] = []
        scratch: Any = RendererPdf(file, 72, file.height, file.width)  # type: ignore[no-untyped-call]
        file.write = parts.append
        try:
            scratch.draw_text(scratch.new_gc(), 0.0, 0.0, words, font(size, bold, others(words, bold)), 0.0)
        finally:
            del file.write
        whole = b"".join(parts)
        placed = _PLACED.search(whole)
        return whole[placed.end() :] if placed else None
