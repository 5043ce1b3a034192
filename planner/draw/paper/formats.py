"""Sizes of paper and formats of files; without matplotlib, so that a command line can name them."""

from __future__ import annotations

from planner.season.paper import PAPERS

__all__ = ["FORMATS", "PAPERS", "paper_size"]

FORMATS = ("png", "svg", "pdf")


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height of a paper, mm, upright. Raises ValueError for one that is not known."""
    if paper not in PAPERS:
        raise ValueError(f"'{paper}' is no paper size known here: {' or '.join(PAPERS)}")
    return PAPERS[paper]
