"""Putting text, boxes and strokes on a sheet whose coordinates are millimetres on paper."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from matplotlib.artist import Artist

from planner.draw.paper.marks import (
    Box,
    Disc,
    Other,
    Point,
    Rings,
    Shape,
    Stroke,
    Writing,
)
from planner.draw.paper.page import Page
from planner.draw.paper.pdf_page import Dashes
from planner.draw.paper.words import plain
from planner.season.reading.told_words import in_keepers_words
from planner.style import BLACK, BODY


def add(page: Page, artist: Artist) -> None:
    """Add something of another kind, drawn in the page's millimetres."""
    page.marks.append(Other(artist, zorder=artist.get_zorder(), gid=artist.get_gid()))


def put(
    page: Page,
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
    if text:
        words = plain(in_keepers_words(text))
        page.marks.append(Writing(x, y, words, size, bold, colour, ha, turned, zorder=zorder, gid=gid))


def box(
    page: Page,
    corner: Point,
    size: Point,
    *,
    fill: str | None = None,
    edge: str | None = BLACK,
    weight: float = 0.5,
    ls: Dashes = "-",
    zorder: float = 1,
    gid: str | None = None,
) -> None:
    """Draw a rectangle from its lower left corner; ``weight`` of its edge in pt."""
    page.marks.append(Box(corner, size, fill, edge, weight, ls, zorder=zorder, gid=gid))


def stroke(
    page: Page,
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    colour: str = BLACK,
    weight: float = 0.7,
    ls: Dashes = "-",
    butt: bool = False,
    sharp: bool = False,
    zorder: float = 2,
    gid: str | None = None,
) -> None:
    """Draw a line through points; ``butt``: not beyond its ends; ``sharp``: with pointed corners."""
    page.marks.append(Stroke(xs, ys, colour, weight, ls, butt, sharp, zorder=zorder, gid=gid))


def disc(
    page: Page,
    centre: Point,
    radius: float,
    *,
    fill: str,
    edge: str,
    weight: float = 0.5,
    ls: Dashes = "-",
    zorder: float = 1,
    gid: str | None = None,
) -> None:
    """Draw a filled circle."""
    page.marks.append(Disc(centre, radius, fill, edge, weight, ls, zorder=zorder, gid=gid))


def triangle(
    page: Page, corners: Sequence[Point], *, fill: str, edge: str, zorder: float = 1, gid: str | None = None
) -> None:
    """Draw a filled shape through its corners."""
    page.marks.append(Shape(tuple(corners), fill, edge, zorder=zorder, gid=gid))


def rings(
    page: Page, xs: Sequence[float], ys: Sequence[float], *, edge: str, crosses: bool, zorder: float, gid: str
) -> None:
    """Draw a white ring round each point, or a cross over it."""
    page.marks.append(Rings(xs, ys, edge, crosses, zorder=zorder, gid=gid))
