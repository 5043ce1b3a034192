"""Short thin lines that say where to cut: in line with every edge of a piece, never on one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from planner.draw.paper.page import Page
from planner.draw.paper.pen import stroke
from planner.draw.tags.tag_layout import Band

CLEAR = 0.7  # mm between a cut mark and a piece
MARK = 3.5  # mm, the longest cut mark: clear of the words in the margin


def draw_cut_marks(band: Band, beyond: float | None, page: Page) -> Page:
    """Draw the marks of a band's pieces; ``beyond``: mm from it to another band, None: none is near."""
    wide, high = band.size
    longest = MARK if beyond is None else min(MARK, beyond - 2 * CLEAR)
    for x in sorted({e for left in band.lefts for e in (left, left + wide)}):
        for span in _gutters(band.bottoms, high, longest):
            stroke(page, (x, x), span, weight=0.3, gid="cut")
    for y in sorted({e for bottom in band.bottoms for e in (bottom, bottom + high)}):
        for span in _gutters(band.lefts, wide, MARK):
            stroke(page, span, (y, y), weight=0.3, gid="cut")
    return page


def _gutters(starts: Sequence[float], side: float, longest: float) -> Iterator[tuple[float, float]]:
    """Give the stretches before, between and after pieces along one axis that marks may take."""
    yield starts[0] - CLEAR - longest, starts[0] - CLEAR
    for before, after in pairwise(starts):
        if after - before - side > 2 * CLEAR:
            yield before + side + CLEAR, after - CLEAR
    yield starts[-1] + side + CLEAR, starts[-1] + side + CLEAR + longest
