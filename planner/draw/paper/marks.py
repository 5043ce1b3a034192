"""What is drawn on a sheet: each mark as data, as an artist of matplotlib, and as operators of a PDF.

Coordinates and lengths are mm on paper, weights of lines pt. A figure of artists takes as long to make as to
draw; of a map of 10,000 both took most of the time.
"""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from matplotlib.artist import Artist
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.text import Text

from planner.draw.paper.pdf_page import BUTT, MITER, PROJECTING, ROUND, Dashes, PdfPage, circle, path
from planner.draw.paper.words import font, others, pieces, width
from planner.style import MM_PER_PT, WHITE

Point = tuple[float, float]
PART = {"left": 0.0, "center": 0.5, "right": 1.0}
_ENDS = re.compile(r"^ | $")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark(ABC):
    """``zorder``: what has more lies above; ``gid``: the name of its group in an SVG."""

    zorder: float
    gid: str | None = None

    @abstractmethod
    def artist(self) -> Artist:
        """The mark as matplotlib draws it."""

    @abstractmethod
    def write(self, pdf: PdfPage) -> None:
        """Write its operators."""


@dataclass(frozen=True, slots=True)
class Writing(Mark):
    """One row of text with its baseline at ``y``; ``turned``: upside down round its start."""

    x: float
    y: float
    text: str
    size: float
    bold: bool
    colour: str
    ha: Literal["left", "center", "right"]
    turned: bool

    def artist(self) -> Artist:
        """One that is placed by our own measure."""
        face = font(self.size, self.bold, others(self.text, self.bold))
        words = Words(
            self.x, self.y, self.text, fontproperties=face,
            color=self.colour, horizontalalignment=self.ha, verticalalignment="baseline", parse_math=False,
            zorder=self.zorder, gid=self.gid,
        )  # fmt: skip
        words.turned = self.turned
        return words

    def write(self, pdf: PdfPage) -> None:
        """Each piece at its place; those that are there already by their bytes."""
        x = self.x
        if part := PART[self.ha]:
            x += (part if self.turned else -part) * width(self.text, self.size, self.bold)
        pdf.fill(self.colour)
        for words, wide in set_apart(self.text, self.size, self.bold):
            pdf.text(x, self.y, words, self.size, self.bold, self.turned)
            x += -wide if self.turned else wide


def set_apart(text: str, size: float, bold: bool) -> list[tuple[str, float]]:
    """The pieces of a text as they are set, each with its width, mm."""
    found = pieces(text)
    if len(found) == 1:  # an SVG places a whole text by itself, and leaves out a space at an end
        return [(found[0], 0.0)]
    return [(_ENDS.sub("\N{NO-BREAK SPACE}", one), width(one, size, bold)) for one in found]


class Words(Text):
    """One row of text. It is placed by our own measure: laying each out took half the drawing time."""

    turned = False  # upside down round the start of its baseline, for what is folded over

    def draw(self, renderer: Any) -> None:
        """Draw it; for the page only, as it neither wraps nor is clipped."""
        x, y = self.get_transform().transform(self.get_position())
        text, face = self.get_text(), self.get_fontproperties()
        size, bold = face.get_size_in_points(), face.get_weight() == "bold"

        def pixels(mm: float) -> float:
            return float(renderer.points_to_pixels(-mm if self.turned else mm)) / MM_PER_PT

        x -= PART[self.get_horizontalalignment()] * pixels(width(text, size, bold))
        if renderer.flipy():
            y = renderer.get_canvas_width_height()[1] - y
        renderer.open_group("text", self.get_gid())
        gc = renderer.new_gc()
        gc.set_foreground(self.get_color())
        found = set_apart(text, size, bold)
        for words, wide in found:
            whole = self if len(found) == 1 else None
            renderer.draw_text(gc, x, y, words, face, 180 if self.turned else 0, mtext=whole)
            x += pixels(wide)
        gc.restore()
        renderer.close_group("text")
        self.stale = False


@dataclass(frozen=True, slots=True)
class Box(Mark):
    """A rectangle from its lower left corner."""

    corner: Point
    size: Point
    fill: str | None
    edge: str | None
    weight: float
    dashes: Dashes

    def artist(self) -> Artist:
        """A patch."""
        fill, edge = self.fill or "none", self.edge or "none"
        return Rectangle(self.corner, *self.size, fc=fill, ec=edge, lw=self.weight if self.edge else 0,
                         ls=self.dashes, zorder=self.zorder, gid=self.gid)  # fmt: skip

    def write(self, pdf: PdfPage) -> None:
        """One operator for its path."""
        pdf.line(self.edge, self.weight, self.dashes, BUTT, MITER)
        pdf.paint(pdf.rectangle(*self.corner, *self.size), self.fill, self.edge)


@dataclass(frozen=True, slots=True)
class Stroke(Mark):
    """A line through points; where one of them is not a number it is interrupted. ``sharp``: its corners."""

    xs: Sequence[float]
    ys: Sequence[float]
    colour: str
    weight: float
    dashes: Dashes
    butt: bool
    sharp: bool

    def artist(self) -> Artist:
        """A line."""
        ends = {"solid_capstyle": "butt"} if self.butt else {}
        ends |= {"solid_joinstyle": "miter"} if self.sharp else {}
        return Line2D(self.xs, self.ys, color=self.colour, lw=self.weight, ls=self.dashes, zorder=self.zorder,
                      gid=self.gid, **ends)  # type: ignore[arg-type]  # fmt: skip

    def write(self, pdf: PdfPage) -> None:
        """A path."""
        cap = BUTT if self.butt or self.dashes != "-" else PROJECTING
        pdf.line(self.colour, self.weight, self.dashes, cap, MITER if self.sharp else ROUND)
        pdf.paint(path(self.xs, self.ys), None, self.colour)


@dataclass(frozen=True, slots=True)
class Disc(Mark):
    """A filled circle."""

    centre: Point
    radius: float
    fill: str
    edge: str
    weight: float
    dashes: Dashes

    def artist(self) -> Artist:
        """A patch."""
        return Circle(self.centre, self.radius, fc=self.fill, ec=self.edge, lw=self.weight, ls=self.dashes,
                      zorder=self.zorder, gid=self.gid)  # fmt: skip

    def write(self, pdf: PdfPage) -> None:
        """Four curves."""
        pdf.line(self.edge, self.weight, self.dashes, BUTT, MITER)
        pdf.paint(circle(*self.centre, self.radius), self.fill, self.edge)


@dataclass(frozen=True, slots=True)
class Shape(Mark):
    """A filled shape through its corners."""

    corners: Sequence[Point]
    fill: str
    edge: str

    def artist(self) -> Artist:
        """A patch."""
        return Polygon(list(self.corners), closed=True, fc=self.fill, ec=self.edge, lw=0.5,
                       zorder=self.zorder, gid=self.gid)  # fmt: skip

    def write(self, pdf: PdfPage) -> None:
        """A closed path."""
        pdf.line(self.edge, 0.5, "-", BUTT, MITER)
        pdf.paint(path(*zip(*self.corners, strict=True)) + b"h\n", self.fill, self.edge)


@dataclass(frozen=True, slots=True)
class Rings(Mark):
    """White rings round points, or crosses over them, 5 pt across."""

    xs: Sequence[float]
    ys: Sequence[float]
    edge: str
    crosses: bool

    def artist(self) -> Artist:
        """A line that is not drawn, with a marker at each point."""
        shape = "x" if self.crosses else "o"
        return Line2D(self.xs, self.ys, color=self.edge, lw=0.7, ls="", marker=shape, ms=5, mfc=WHITE,
                      mec=self.edge, mew=0.9, zorder=self.zorder, gid=self.gid)  # fmt: skip

    def write(self, pdf: PdfPage) -> None:
        """All as one path, as they do not overlap."""
        half = 2.5 * MM_PER_PT
        pdf.line(self.edge, 0.9, "-", BUTT, ROUND)
        for x, y in zip(self.xs, self.ys, strict=True):
            if self.crosses:
                pdf.paint(path((x - half, x + half), (y - half, y + half)), None, self.edge)
                pdf.paint(path((x - half, x + half), (y + half, y - half)), None, self.edge)
            else:
                pdf.paint(circle(x, y, half), WHITE, self.edge)


@dataclass(frozen=True, slots=True)
class Other(Mark):
    """An artist of another kind."""

    made: Artist

    def artist(self) -> Artist:
        """That artist."""
        return self.made

    def write(self, pdf: PdfPage) -> None:
        """As matplotlib writes it."""
        pdf.foreign(self.made)
