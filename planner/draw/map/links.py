"""The sign between two neighbours that are due too close together: a thick zigzag, or dashes for a wait."""

from __future__ import annotations

from math import ceil, hypot

from planner.draw.data import Pair
from planner.draw.paper.marks import Point
from planner.draw.paper.page import Page
from planner.draw.paper.pen import box, put, stroke
from planner.draw.paper.words import CAP, width
from planner.style import BLACK, MM_PER_PT, SMALLEST, VERMILION, WHITE
from planner.words import as_told, days

SIGN_HEIGHT = 3.6  # mm, at the smallest type
_PAD = 0.9


def gap_text(pair: Pair) -> str:
    """``1 day``, ``same day``, ``no date``: how far two are apart, as far as it is known."""
    if pair.a.due is None or pair.b.due is None:
        return "no date"
    return days(pair.days) if as_told(pair.days) else "same day"


def sign_text(pair: Pair) -> str:
    """Say what is between the two: ``CLASH 1 day``. A wait has no figure: it would read as time to wait."""
    return "wait" if pair.wait else f"CLASH {gap_text(pair)}"


def sign_width(text: str, size: float = SMALLEST) -> float:
    """Width of a sign, mm."""
    return width(text, size, True) + 2 * _PAD


def draw_sign(text: str, wait: bool, x: float, y: float, page: Page, size: float = SMALLEST) -> Page:
    """Draw the words in a box whose middle is (x, y), mm."""
    wide, high = sign_width(text, size), SIGN_HEIGHT * size / SMALLEST
    fill, dashes = (WHITE, "--") if wait else (VERMILION, "-")
    box(page, (x - wide / 2, y - high / 2), (wide, high), fill=fill, ls=dashes, zorder=8)
    put(page, x, y - CAP * size * MM_PER_PT / 2, text, size, bold=True, ha="center", zorder=9)
    return page


def draw_link(a: Point, b: Point, wait: bool, page: Page, zorder: float = 7) -> Page:
    """Draw the line from a to b, mm: zigzag with a dark edge, or dashes for a wait."""
    if wait:
        stroke(page, (a[0], b[0]), (a[1], b[1]), weight=1.4, ls=(0, (3, 2)), zorder=zorder, gid="wait")
        return page
    xs, ys = _zigzag(a, b)
    for colour, weight in ((BLACK, 4.2), (VERMILION, 3.0)):
        stroke(page, xs, ys, colour=colour, weight=weight, sharp=True, zorder=zorder, gid="clash")
    return page


def _zigzag(a: Point, b: Point) -> tuple[list[float], list[float]]:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = hypot(dx, dy)
    if not length:
        return [a[0], b[0]], [a[1], b[1]]
    teeth = max(2, ceil(length / 2.2))
    xs, ys = [a[0]], [a[1]]
    for i in range(teeth):
        part, side = (i + 0.5) / teeth, 1.1 if i % 2 else -1.1
        xs.append(a[0] + dx * part - dy / length * side)
        ys.append(a[1] + dy * part + dx / length * side)
    return [*xs, b[0]], [*ys, b[1]]
