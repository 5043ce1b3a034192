"""QR codes that hold a pupa's id: squares of black on the card's white.

References
----------
ISO/IEC 18004:2024, QR code bar code symbology specification: a quiet zone of four modules on every side.
"""

from __future__ import annotations

from functools import lru_cache

import segno
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from planner.draw.paper.page import Page
from planner.draw.paper.pen import add
from planner.style import BLACK

QUIET_ZONE = 4  # modules on each side
LEAST_MODULE = 0.3  # mm; 3.5 dots of a 300 dpi printer
SEAM = 0.02  # modules that rows overlap, so that no white line is seen between them


@lru_cache(maxsize=1024)
def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """Rows of a QR code's modules, True is dark, without the quiet zone.

    Raises ValueError when the text is too long for any code.
    """
    try:
        if text.isascii():
            code = segno.make_qr(text, error="m")
        else:  # the code says itself that it is UTF-8
            code = segno.make_qr(text, error="m", encoding="utf-8", eci=True)
    except segno.DataOverflowError:
        raise ValueError(f"'{text[:20]}…' is too long for a QR code: {len(text)} letters") from None
    return tuple(tuple(bool(cell) for cell in row) for row in code.matrix)


def side_of(face: tuple[float, float]) -> float:
    """Side of the code on a face with its quiet zone, mm: as high as the face, at most half as wide."""
    return min(face[1], face[0] / 2)


def least_side(text: str) -> float:
    """The smallest side of a code that a phone can read, with its quiet zone, mm."""
    return LEAST_MODULE * (len(modules(text)) + 2 * QUIET_ZONE)


def draw_code(
    text: str, side: float, page: Page, left: float, bottom: float, *, turned: bool = False
) -> Page:
    """Draw the code in a square of ``side`` mm, quiet zone included, lower left corner at (left, bottom)."""
    rows = modules(text)
    if turned:
        rows = tuple(row[::-1] for row in reversed(rows))
    step = side / (len(rows) + 2 * QUIET_ZONE)
    top = bottom + side - QUIET_ZONE * step
    corners: list[tuple[float, float]] = []
    for i, row in enumerate(rows):
        start = None
        for k, dark in enumerate((*row, False)):
            if dark and start is None:
                start = k
            elif not dark and start is not None:
                x0, x1 = (left + (QUIET_ZONE + j) * step for j in (start, k))
                y1 = top - i * step
                y0 = y1 - (1 + SEAM) * step
                corners += [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
                start = None
    kinds = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY] * (len(corners) // 5)
    add(page, PathPatch(Path(corners, kinds), fc=BLACK, ec="none", lw=0, zorder=5, gid=f"code-{text}"))
    return page
