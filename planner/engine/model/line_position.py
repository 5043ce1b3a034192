"""Positions on lines along which clips slide."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LinePosition:
    """Where a node is on a line with sliding clips: the line, and how far from its left end (cm)."""

    line: str
    x: float
