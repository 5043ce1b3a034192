"""Putting text, boxes and strokes on a sheet whose coordinates are millimetres on paper."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Literal

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.text import Text

from planner.draw.paper.pdf_text import draw_again
from planner.draw.paper.words import font, others, pieces, plain, width
from planner.season.reading.told_words import in_keepers_words
from planner.style import BLACK, BODY, MM_PER_PT

Point = tuple[float, float]
_ENDS = re.compile(r"^ | $")


def add(ax: Axes, artist: Artist) -> None:
    """Add something drawn in the axes' millimetres, unclipped: clipping took a fifth of the drawing time."""
    artist.axes = ax
    if not artist.is_transform_set():
        artist.set_transform(ax.transData)
    ax.figure.add_artist(artist)


class Words(Text):
    """One row of text. It is placed by our own measure: laying each out took half the drawing time."""

    turned = False  # upside down round the start of its baseline, for what is folded over

    def draw(self, renderer: Any) -> None:
        """Draw it; for the page only, as it neither wraps nor is clipped."""
        x, y = self.get_transform().transform(self.get_position())
        text, face = self.get_text(), self.get_fontproperties()
        part = {"left": 0.0, "center": 0.5, "right": 1.0}[self.get_horizontalalignment()]

        def wide(words: str) -> float:
            mm = width(words, face.get_size_in_points(), face.get_weight() == "bold")
            return float(renderer.points_to_pixels(-mm if self.turned else mm)) / MM_PER_PT

        if part:
            x -= part * wide(text)
        if renderer.flipy():
            y = renderer.get_canvas_width_height()[1] - y
        renderer.open_group("text", self.get_gid())
        gc = renderer.new_gc()
        gc.set_foreground(self.get_color())
        found = pieces(text)
        turn, whole = 180 if self.turned else 0, self if len(found) == 1 else None
        for piece in found:  # an SVG places a whole text by itself, and leaves out a space at an end
            words = piece if whole else _ENDS.sub("\N{NO-BREAK SPACE}", piece)
            draw_again(renderer, gc, (x, y), words, face, turn, whole)
            x += 0.0 if whole else wide(piece)
        gc.restore()
        renderer.close_group("text")
        self.stale = False


def put(
    ax: Axes,
    x: float,
    y: float,
    text: str,
    size: float = BODY,
    *,
    bold: bool = False,
    colour: str = BLACK,
    ha: Literal["left", "center", "right"] = "left",
    zorder: float = 5,
    gid: str | None = None,
    turned: bool = False,
) -> None:
    """Set a text with its baseline at ``y``, ``turned`` upside down. A ``$`` is only a ``$``."""
    if not text:
        return
    text = plain(in_keepers_words(text))
    words = Words(
        x, y, text, fontproperties=font(size, bold, others(text, bold)), color=colour, horizontalalignment=ha,
        verticalalignment="baseline", parse_math=False, zorder=zorder, gid=gid,
    )  # fmt: skip
    words.turned = turned
    add(ax, words)


def box(
    ax: Axes,
    corner: Point,
    size: Point,
    *,
    fill: str | None = None,
    edge: str | None = BLACK,
    weight: float = 0.5,
    **more: Any,
) -> None:
    """Draw a rectangle from its lower left corner; ``weight`` of its edge in pt."""
    add(ax, Rectangle(corner, *size, fc=fill or "none", ec=edge or "none", lw=weight if edge else 0, **more))


def stroke(
    ax: Axes,
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    colour: str = BLACK,
    weight: float = 0.7,
    **more: Any,
) -> None:
    """Draw a line through points."""
    add(ax, Line2D(xs, ys, color=colour, lw=weight, **more))


def disc(ax: Axes, centre: Point, radius: float, *, fill: str, edge: str, **more: Any) -> None:
    """Draw a filled circle."""
    add(ax, Circle(centre, radius, fc=fill, ec=edge, **{"lw": 0.5, **more}))


def triangle(ax: Axes, corners: Sequence[Point], *, fill: str, edge: str, **more: Any) -> None:
    """Draw a filled shape through its corners."""
    add(ax, Polygon(list(corners), closed=True, fc=fill, ec=edge, lw=0.5, **more))
