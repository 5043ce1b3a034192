"""A figure that keeps its marks as a list until they are drawn."""

from __future__ import annotations

from typing import Any

from matplotlib.artist import Artist
from matplotlib.figure import Figure

from planner.draw.paper.marks import Mark
from planner.draw.paper.pdf_page import PdfPage


class Paper(Figure):
    """A sheet of paper. In a PDF its marks are written as they are; elsewhere artists are made of them."""

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._marks: list[Mark] = []

    def add_mark(self, mark: Mark) -> None:
        """Keep a mark."""
        self._marks.append(mark)

    def get_children(self) -> list[Artist]:
        """All that is on it, as artists."""
        marks, self._marks = self._marks, []
        for mark in marks:
            self._add(mark.artist())
        return super().get_children()

    def _add(self, artist: Artist) -> None:
        """Add an artist in millimetres, unclipped: clipping took a fifth of the drawing time."""
        artist.axes = self.axes[0]
        if not artist.is_transform_set():
            artist.set_transform(self.axes[0].transData)
        self.add_artist(artist)

    def draw(self, renderer: Any) -> None:
        """Draw all marks, the lower ones first."""
        if not (self._marks and hasattr(renderer, "file") and self._blank):
            super().draw(renderer)
            return
        self.patch.draw(renderer)
        page = PdfPage(renderer)
        for mark in sorted(self._marks, key=lambda mark: mark.zorder):
            mark.write(page)
        page.end()
        self.stale = False

    @property
    def _blank(self) -> bool:
        """Whether there is nothing on it but marks."""
        return not (self.artists or self.texts or any(ax.axison for ax in self.axes))
