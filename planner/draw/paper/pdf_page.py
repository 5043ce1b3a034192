"""One page of matplotlib's PDF, written by our own operators: its artists took some 0.3 ms for each mark."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import floor, isnan
from typing import Any
from weakref import WeakKeyDictionary

from matplotlib.artist import Artist
from matplotlib.colors import to_rgb
from matplotlib.transforms import Affine2D

from planner.draw.paper.pdf_text import PdfTexts
from planner.draw.paper.words import font, others
from planner.style import MM_PER_PT

BUTT, ROUND, PROJECTING = 0, 1, 2  # ends of lines as a PDF numbers them; corners likewise
MITER = 0
Dashes = str | tuple[float, tuple[float, ...]]
"""``-``, ``--``, ``:``, or where to begin and how long dashes and gaps are, in weights of the line."""
_DASHED: dict[str, tuple[float, tuple[float, ...]]] = {
    "-": (0.0, ()), "--": (0.0, (3.7, 1.6)), ":": (0.0, (1.0, 1.65)),
}  # fmt: skip
_PT = 1 / MM_PER_PT
_CURVE = 0.5523  # where the two middle points of a quarter circle's curve are, in radii
_TEXTS: WeakKeyDictionary[Any, PdfTexts] = WeakKeyDictionary()  # of each file


class PdfPage:
    """The operators of a page, in pt, and which colours and lines are set by now."""

    def __init__(self, renderer: Any) -> None:
        self.renderer = renderer
        self._texts = _TEXTS.setdefault(renderer.file, PdfTexts())
        self._out: list[bytes] = []
        self._begin()

    def _begin(self) -> None:
        self._out.append(b"q\n")
        self._filled: str | None = None
        self._lined: tuple[object, ...] | None = None

    def end(self) -> None:
        """Write all to the file, and set nothing any more."""
        self._out.append(b"Q\n")
        self.renderer.file.write(b"".join(self._out))
        self._out.clear()

    def foreign(self, artist: Artist) -> None:
        """Let an artist in millimetres draw itself."""
        self.end()
        artist.set_transform(Affine2D().scale(_PT))
        artist.draw(self.renderer)
        self._begin()

    def fill(self, colour: str) -> None:
        """Set the colour of texts and insides."""
        if colour != self._filled:
            self._filled = colour
            self._out.append(_rgb(colour) + b" rg\n")

    def line(self, colour: str | None, weight: float, dashes: Dashes, cap: int, join: int) -> None:
        """Set how edges and lines are drawn; a colour of None: they are not."""
        look = (colour, weight, dashes, cap, join) if colour else ()
        if look == self._lined:
            return
        self._lined = look
        if not colour:
            self._out.append(b"0 w\n")
            return
        offset, steps = _DASHED[dashes] if isinstance(dashes, str) else dashes
        parts = b" ".join(b"%.2f" % (weight * step) for step in steps)
        self._out.append(
            b"%s RG\n%.2f w %d J %d j [%s] %.2f d\n"
            % (_rgb(colour), weight, cap, join, parts, weight * offset)
        )

    def paint(self, outline: bytes, fill: str | None, edge: str | None) -> None:
        """Fill a path and draw its edge, each where it has a colour."""
        if fill:
            self.fill(fill)
        self._out.append(outline + (b"B\n" if fill and edge else b"f\n" if fill else b"S\n"))

    @staticmethod
    def rectangle(x: float, y: float, wide: float, high: float) -> bytes:
        """The path of a rectangle."""
        return b"%.2f %.2f %.2f %.2f re\n" % (x * _PT, y * _PT, wide * _PT, high * _PT)

    def text(self, x: float, y: float, words: str, size: float, bold: bool, turned: bool) -> None:
        """Set a text in the colour that is set, its baseline beginning at a point."""
        made = self._texts.made(self.renderer.file, words, size, bold)
        if made is not None:
            turn = b"-1 0 0 -1" if turned else b"1 0 0 1"
            left = floor(x * _PT * 100) / 100  # what ends at a margin ends there
            self._out.append(b"q %s %.2f %.2f cm\n%s" % (turn, left, y * _PT, made))
            return
        gc = self.renderer.new_gc()
        gc.set_foreground(self._filled)
        self.end()
        face = font(size, bold, others(words, bold))
        self.renderer.draw_text(gc, x * _PT, y * _PT, words, face, 180.0 if turned else 0.0)
        self._begin()


@lru_cache(maxsize=1024)
def _rgb(colour: str) -> bytes:
    return b"%.4g %.4g %.4g" % to_rgb(colour)


def path(xs: Sequence[float], ys: Sequence[float]) -> bytes:
    """A path through points, interrupted where one is not a number."""
    parts, begun = [], False
    for x, y in zip(xs, ys, strict=True):
        if isnan(x):
            begun = False
            continue
        parts.append(b"%.2f %.2f %s\n" % (x * _PT, y * _PT, b"l" if begun else b"m"))
        begun = True
    return b"".join(parts)


def circle(x: float, y: float, radius: float) -> bytes:
    """A path round a point, from its lowest one, as matplotlib's: dashes begin there."""
    x, y, r = x * _PT, y * _PT, radius * _PT
    c = r * _CURVE
    return (
        b"%.2f %.2f m\n%.2f %.2f %.2f %.2f %.2f %.2f c\n%.2f %.2f %.2f %.2f %.2f %.2f c\n"
        b"%.2f %.2f %.2f %.2f %.2f %.2f c\n%.2f %.2f %.2f %.2f %.2f %.2f c\nh\n"
    ) % (
        x, y - r, x + c, y - r, x + r, y - c, x + r, y, x + r, y + c, x + c, y + r, x, y + r,
        x - c, y + r, x - r, y + c, x - r, y, x - r, y - c, x - c, y - r, x, y - r,
    )  # fmt: skip
