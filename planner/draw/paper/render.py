"""From figures to the bytes of a file. Nothing here writes to disk."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from planner.draw.paper.display_list import Paper
from planner.draw.paper.formats import FORMATS
from planner.draw.paper.words import ignore_missing_letters
from planner.style import MM_PER_INCH

DPI = 150
TALLEST = 20_000  # pixels; with an A4 sheet's width that is about 140 MB while it is drawn
_LOOKS = ("axes.", "figure.", "font.", "lines.", "patch.", "path.", "pdf.", "savefig.", "svg.", "text.")


@contextmanager
def look() -> Iterator[None]:
    """Draw by our own settings, whatever the keeper's matplotlib is set to; also works as a decorator."""
    rc: dict[Any, Any] = {k: v for k, v in dict.items(matplotlib.rcParamsDefault) if k.startswith(_LOOKS)}
    rc |= {"svg.hashsalt": "planner"}
    rc |= {"svg.fonttype": "none"}  # text stays text, so that an id can be searched for
    rc |= {"pdf.fonttype": 3}  # likewise text, and made five times as fast as type 42
    rc |= {"text.hinting": "none"}  # a text is as wide on the screen as on paper, and is drawn faster
    with matplotlib.rc_context(rc):
        yield


def blank(width: float, height: float) -> Figure:
    """Make a white sheet of so many millimetres."""
    return Paper(figsize=(width / MM_PER_INCH, height / MM_PER_INCH), facecolor="white")


def size_of(figure: Figure) -> tuple[float, float]:
    """Width and height of a sheet, mm."""
    return figure.get_figwidth() * MM_PER_INCH, figure.get_figheight() * MM_PER_INCH


def page(width: float, height: float) -> tuple[Figure, Axes]:
    """Make a blank sheet whose axes are its millimetres, (0, 0) at the lower left."""
    figure = blank(width, height)
    ax = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    ax.set_axis_off()
    ax.set_xlim(0, width)
    ax.set_ylim(0, height)
    ax.set_autoscale_on(False)
    return figure, ax


def check_height(tall: float, fmt: str) -> None:
    """Raise ValueError where a sheet of so many millimetres is too tall for a format."""
    pixels = round(tall / MM_PER_INCH * DPI)
    if fmt == "png" and pixels > TALLEST:
        raise ValueError(
            f"as a PNG the map would be {pixels} pixels high, more than the {TALLEST} allowed: "
            "take pdf (several pages) or svg"
        )


def render(figures: Sequence[Figure], fmt: str) -> bytes:
    """Give the file's bytes: the same for the same figures. Only a PDF may have several.

    Raises
    ------
    ValueError
        When the format is unknown, or a PNG would be more than ``TALLEST`` pixels high.
    """
    if fmt not in FORMATS:
        raise ValueError(f"'{fmt}' is no format for a drawing: png, svg or pdf")
    out = BytesIO()
    with warnings.catch_warnings():
        ignore_missing_letters()
        if fmt == "pdf":
            from matplotlib.backends.backend_pdf import PdfPages

            with PdfPages(out, metadata={"CreationDate": None, "Creator": None, "Producer": None}) as pdf:
                for figure in figures:
                    pdf.savefig(figure)
        elif fmt == "svg":
            figures[0].savefig(out, format="svg", metadata={"Date": None, "Creator": None})
        else:
            check_height(size_of(figures[0])[1], fmt)
            figures[0].savefig(out, format="png", dpi=DPI, metadata={"Software": None},
                               pil_kwargs={"compress_level": 3})  # fmt: skip
    return out.getvalue()
