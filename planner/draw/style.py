"""The look on paper: type sizes in points; colours and contrast are those of `planner.style`."""

from __future__ import annotations

from planner.style import BLACK, FAINT, QUIET, UNKNOWN, VERMILION, WHITE, contrast, ink_on, luminance

__all__ = [
    "BLACK",
    "BODY",
    "FAINT",
    "MM_PER_INCH",
    "MM_PER_PT",
    "NAME",
    "QUIET",
    "SMALLEST",
    "TITLE",
    "UNKNOWN",
    "VERMILION",
    "WHITE",
    "contrast",
    "ink_on",
    "luminance",
]

MM_PER_PT = 25.4 / 72
MM_PER_INCH = 25.4

SMALLEST = 7.5  # pt; nothing on a map is set smaller
BODY = 9.0
NAME = 12.0
TITLE = 18.0
