"""A part of a place as it fits a sheet: every kind of place gives its own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from planner.draw.data import PlacePicture, Sheet
from planner.draw.map.scale import Scale
from planner.draw.paper.page import Page

Draw = Callable[[Page, float, float], Page]
"""Draws with the upper left corner at (left, top), mm."""


@dataclass(frozen=True)
class Part:
    """A part of a place, from where to where it goes, and how high it is on paper, mm."""

    span: str
    height: float
    draw: Draw


Parts = Callable[[PlacePicture, Sheet, Scale, float, float | None], Iterator[Part]]
"""Cuts a place into parts: the sheet's width, and the height of a page (None: endless), mm."""


def span(sheet: Sheet, low: float, high: float) -> str:
    """``0 to 80 cm``."""
    return f"{sheet.length(low)} to {sheet.length(high)} {sheet.units}"
