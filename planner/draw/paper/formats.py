"""Sizes of paper and formats of files; without matplotlib, so that a command line can name them."""

from __future__ import annotations

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm, upright
FORMATS = ("png", "svg", "pdf")


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height of a paper, mm, upright. Raises ValueError for one that is not known."""
    if paper not in PAPERS:
        raise ValueError(f"'{paper}' is no paper size known here: {' or '.join(PAPERS)}")
    return PAPERS[paper]
