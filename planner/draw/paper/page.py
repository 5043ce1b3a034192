"""A page in millimetres, which keeps its marks as a list until they are drawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from matplotlib.transforms import Affine2D

from planner.draw.paper.marks import Box, Mark
from planner.draw.paper.pdf_page import PdfPage
from planner.style import MM_PER_PT, WHITE


@dataclass(frozen=True)
class Page:
    """A white page of so many millimetres, (0, 0) at its lower left."""

    width: float
    height: float
    marks: list[Mark] = field(default_factory=list)

    def __iter__(self) -> Iterator[Mark]:
        """White paper, and the marks on it, the lower ones first."""
        yield Box((0, 0), (self.width, self.height), WHITE, None, 0, "-", zorder=0)
        yield from sorted(self.marks, key=lambda mark: mark.zorder)

    def draw(self, renderer: Any) -> None:
        """Draw it by matplotlib."""
        millimetres = Affine2D().scale(renderer.points_to_pixels(1 / MM_PER_PT))
        for mark in self:
            artist = mark.artist()
            artist.set_transform(millimetres)
            artist.draw(renderer)

    def write(self, renderer: Any) -> None:
        """Write it into a PDF by our own operators."""
        pdf = PdfPage(renderer)
        for mark in self:
            mark.write(pdf)
        pdf.end()
