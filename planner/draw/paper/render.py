"""From pages to the bytes of a file. Nothing here writes to disk.

Pages are drawn without a figure of matplotlib, which takes as long to load as the whole rest of it.
"""

from __future__ import annotations

import codecs
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from typing import Any

import matplotlib
from PIL import Image

from planner.draw.paper.formats import FORMATS
from planner.draw.paper.page import Page
from planner.draw.paper.words import ignore_missing_letters
from planner.style import MM_PER_INCH, MM_PER_PT

DPI = 150
TALLEST = 20_000  # pixels; with an A4 sheet's width that is about 140 MB while it is drawn
NAMELESS: dict[str, dict[str, Any]] = {
    "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
    "svg": {"Date": None, "Creator": None},
    "png": {"Software": None},
}
"""What a file tells of its making: nothing, so that the same is drawn twice in the same bytes."""
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


def check_height(tall: float, fmt: str) -> None:
    """Raise ValueError where a sheet of so many millimetres is too tall for a format."""
    pixels = round(tall / MM_PER_INCH * DPI)
    if fmt == "png" and pixels > TALLEST:
        raise ValueError(
            f"as a PNG the map would be more than {TALLEST} pixels high: take pdf (several pages) or svg"
        )


def render(pages: Sequence[Page], fmt: str) -> bytes:
    """Give the file's bytes: the same for the same pages. Only a PDF may have several.

    Raises
    ------
    ValueError
        When the format is unknown, or a PNG would be more than ``TALLEST`` pixels high.
    """
    if fmt not in FORMATS:
        raise ValueError(f"'{fmt}' is no format for a drawing: png, svg or pdf")
    with warnings.catch_warnings():
        ignore_missing_letters()
        return {"pdf": _pdf, "svg": _svg, "png": _png}[fmt](pages)


def _pdf(pages: Sequence[Page]) -> bytes:
    from matplotlib.backends import backend_pdf

    backend: Any = backend_pdf  # none of them has types
    out = BytesIO()
    file = backend.PdfFile(out, metadata=NAMELESS["pdf"])
    for page in pages:
        wide, high = page.width / MM_PER_INCH, page.height / MM_PER_INCH
        file.newPage(wide, high)
        renderer = backend.RendererPdf(file, DPI, high, wide)
        page.write(renderer)
        renderer.finalize()
        file.endStream()
    file.finalize()
    file.close()
    return out.getvalue()


def _svg(pages: Sequence[Page]) -> bytes:
    from matplotlib.backends import backend_svg

    backend: Any = backend_svg
    (page,), out = pages, BytesIO()
    text = codecs.getwriter("utf-8")(out)
    size = page.width / MM_PER_PT, page.height / MM_PER_PT
    renderer = backend.RendererSVG(*size, text, image_dpi=DPI, metadata=NAMELESS["svg"])
    page.draw(renderer)
    renderer.finalize()
    return out.getvalue()


def _png(pages: Sequence[Page]) -> bytes:
    from planner.draw.paper import picture

    backend: Any = picture
    (page,), out = pages, BytesIO()
    check_height(page.height, "png")
    pixels = (page.width / MM_PER_INCH * DPI, page.height / MM_PER_INCH * DPI)
    renderer = backend.Picture(*pixels, DPI)
    page.draw(renderer)
    drawn = renderer.buffer_rgba()
    image = Image.frombuffer("RGBA", drawn.shape[1::-1], drawn, "raw", "RGBA", 0, 1)
    image.save(out, "png", dpi=(DPI, DPI), compress_level=3)
    return out.getvalue()
