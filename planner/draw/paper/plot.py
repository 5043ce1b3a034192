"""Plots with axes: figures of matplotlib, and their bytes. All else is drawn on pages of our own."""

from __future__ import annotations

import warnings
from io import BytesIO
from typing import Any

from matplotlib.figure import Figure

from planner.draw.paper.formats import FORMATS
from planner.draw.paper.render import DPI, NAMELESS, check_height
from planner.draw.paper.words import ignore_missing_letters
from planner.style import MM_PER_INCH


def blank(width: float, height: float) -> Figure:
    """Make a white figure of so many millimetres."""
    return Figure(figsize=(width / MM_PER_INCH, height / MM_PER_INCH), facecolor="white")


def plotted(figure: Figure, fmt: str) -> bytes:
    """Give the file's bytes. Raises ValueError as `render` does."""
    if fmt not in FORMATS:
        raise ValueError(f"'{fmt}' is no format for a drawing: png, svg or pdf")
    check_height(figure.get_figheight() * MM_PER_INCH, fmt)
    out = BytesIO()
    more: dict[str, Any] = {"pil_kwargs": {"compress_level": 3}} if fmt == "png" else {}
    with warnings.catch_warnings():
        ignore_missing_letters()
        figure.savefig(out, format=fmt, dpi=DPI, metadata=NAMELESS[fmt], **more)
    return out.getvalue()
