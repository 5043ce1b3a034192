"""A board, or a part of one too large for the sheet: pins as they are, tags hanging from them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import hypot

from planner.draw.data import Hung, KeptSpot, Mark, Pair, PlacePicture
from planner.draw.map.dividers import BAR, draw_card, spots_divided
from planner.draw.map.kept import day_box, draw_kept
from planner.draw.map.label import DROP, Form, draw_label, draw_spot
from planner.draw.map.line import EVERY, draw_free
from planner.draw.map.links import SIGN_HEIGHT, draw_link, draw_sign, gap_text, sign_text, sign_width
from planner.draw.map.scale import Scale
from planner.draw.paper.boxes import Box, around, middle, overlap, room_near
from planner.draw.paper.marks import Point
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put, stroke
from planner.draw.paper.words import CAP, width
from planner.season.places import Board, parse_pin
from planner.style import BLACK, MM_PER_PT, QUIET, SMALLEST

INDENT = 10.0  # mm left of the board, for the rows' names
BESIDE_PIN = 2.0  # mm from a pin to its number
ABOVE_TAG = (
    0.5  # mm that the number of a taken pin stands higher, so that its tag's thick frame cuts nothing off
)
ABOVE = 3.0  # mm from the lower pin to a card above it


@dataclass(frozen=True)
class BoardPanel:
    """The part of a board within x from ``across[0]`` to ``across[1]`` and y within ``up``, cm."""

    picture: PlacePicture
    board: Board
    across: tuple[float, float]
    up: tuple[float, float]
    scale: Scale
    form: Form

    def holds(self, x: float | None, y: float | None) -> bool:
        """Whether a point of the board is in this part."""
        if x is None or y is None:
            return False
        return self.across[0] <= x <= self.across[1] and self.up[0] <= y <= self.up[1]

    @cached_property
    def hung(self) -> tuple[Hung, ...]:
        """Who hangs on this part."""
        return tuple(h for h in self.picture.hung if self.holds(h.x, h.y))

    def mm(self, x: float, y: float) -> tuple[float, float]:
        """Place a point on paper, from the panel's upper left corner."""
        return INDENT + self.scale.mm(x - self.across[0]), -self.scale.mm(self.up[1] - y)

    @cached_property
    def kept(self) -> tuple[KeptSpot, ...]:
        """Pins of this part that are kept and free now."""
        return tuple(k for k in self.picture.kept_free if self.holds(k.x, k.y))

    @cached_property
    def free(self) -> frozenset[str]:
        """Pins nobody hangs at."""
        return frozenset(m.tag for m in self.picture.free)

    @cached_property
    def pins(self) -> list[tuple[Mark, Point, str]]:
        """Each pin of this part, where it is, and the number written beside it (empty: none)."""
        found = []
        for mark in self.picture.marks:
            if self.holds(mark.x, mark.y):
                pin = parse_pin(mark.tag)
                text = str(pin[1]) if pin else mark.tag
                numbered = mark.tag not in self.free or (pin is not None and pin[1] % EVERY == 0)
                found.append((mark, self.mm(mark.x, mark.y), text if numbered else ""))
        return found

    @property
    def height(self) -> float:
        """Height of the panel, mm: the board, and tags hanging over its lower edge."""
        deepest = max((self._bottom(h) for h in self.hung), default=0.0)
        return max(self.scale.mm(self.up[1] - self.up[0]), deepest) + 3.0

    def _bottom(self, h: Hung) -> float:
        return -self.mm(h.x or 0.0, h.y or 0.0)[1] + DROP + self.form.height_of(h)

    def tag_box(self, h: Hung) -> Box:
        """Say where a pupa's tag is, from the panel's upper left corner."""
        x, y = self.mm(h.x or 0.0, h.y or 0.0)
        height, half = self.form.height_of(h), self.form.width / 2
        return x - half, y - DROP - height, x + half, y - DROP


def draw_board(panel: BoardPanel, page: Page, left: float, top: float) -> Page:
    """Draw a board with the panel's upper left corner at (left, top), mm on paper."""
    _draw_edges(panel, page, left, top)
    _draw_pins(panel, page, left, top)
    _draw_pairs(panel, page, left, top)
    for h in panel.hung:
        x, y = panel.mm(h.x or 0.0, h.y or 0.0)
        draw_spot(h, left + x, top + y, page)
        draw_label(h, panel.form, left + x, top + y - DROP, page)
    _draw_cards(panel, page, left, top)
    return page


def _draw_cards(panel: BoardPanel, page: Page, left: float, top: float) -> None:
    """Draw each card nearer to the lower of its two pins, where no tag hangs, or just below one that does."""
    for a, b in spots_divided(panel.picture, 1.0):
        if panel.holds((a[0] + b[0]) / 2, (a[1] + b[1]) / 2):
            ends = [(left + x, top + y - _in_the_way(panel, a, b)) for x, y in (panel.mm(*a), panel.mm(*b))]
            low, high = sorted(ends, key=lambda end: end[1])
            far = hypot(high[0] - low[0], high[1] - low[1]) or 1.0
            draw_card(low, high, page, 0.5 if high[1] - low[1] < 1 else min(0.5, ABOVE / far))


def _in_the_way(panel: BoardPanel, a: Point, b: Point) -> float:
    """How far a card between two pins of one row has to go down, mm, where a tag from above ends on it."""
    if a[1] != b[1]:
        return 0.0
    x, y = panel.mm((a[0] + b[0]) / 2, a[1])
    bar = around(x, y, 1.5, BAR)
    ends = [tag[1] for tag in map(panel.tag_box, panel.hung) if overlap(tag, bar) and tag[1] > bar[1]]
    return max((bar[3] - end + 0.5 for end in ends), default=0.0)


def _draw_edges(panel: BoardPanel, page: Page, left: float, top: float) -> None:
    """Draw the board's edges; dots where the board goes on beyond this part."""
    x, y = panel.mm(panel.across[0], panel.up[0])
    right, low = left + panel.mm(panel.across[1], 0.0)[0], top + y
    x += left
    for xs, ys, edge in (
        ((x, x), (low, top), panel.across[0] <= 0),
        ((right, right), (low, top), panel.across[1] >= panel.board.width),
        ((x, right), (low, low), panel.up[0] <= 0),
        ((x, right), (top, top), panel.up[1] >= panel.board.height),
    ):
        stroke(page, xs, ys, colour=QUIET, weight=1.2, ls="-" if edge else ":", zorder=1, gid="board-edge")


def _draw_pins(panel: BoardPanel, page: Page, left: float, top: float) -> None:
    """Draw rings at free pins, numbers beside taken and each fifth pin, rows' names at the left edge.

    A tag that hangs down over a free pin covers its number too.
    """
    rows: dict[str, float] = {}
    rings: list[tuple[float, float, bool]] = []
    low = CAP * SMALLEST * MM_PER_PT / 2
    kept = {k.spot for k in panel.kept}
    tags = list(map(panel.tag_box, panel.hung))
    for mark, (x, y), text in panel.pins:
        pin = parse_pin(mark.tag)
        if pin:
            rows[f"r{pin[0]}"] = y
        if mark.tag in panel.free and mark.tag not in kept:
            rings.append((left + x, top + y, mark.usable))
        taken = mark.tag not in panel.free
        number = x + BESIDE_PIN, y - low, x + BESIDE_PIN + width(text, SMALLEST, taken), y + low
        if text and (taken or not any(overlap(tag, number) for tag in tags)):
            colour = BLACK if taken else QUIET
            put(
                page,
                left + x + BESIDE_PIN,
                top + y - low + (ABOVE_TAG if taken else 0.0),
                text,
                SMALLEST,
                bold=taken,
                colour=colour,
                gid="number",
            )
    draw_free(rings, page)
    tags = [(left + a, top + b, left + c, top + d) for a, b, c, d in tags]
    draw_kept([(*_shifted(panel.mm(k.x, k.y), left, top), k.since) for k in panel.kept], tags, page)
    near = low + ABOVE_TAG
    for name, y in rows.items():  # left of the tags of the first pins, where these go beyond the board
        beside = (tag[0] for tag in tags if tag[1] - near < top + y < tag[3] + near)
        put(
            page,
            left + min([INDENT - 1.5, *(x - left - 0.8 for x in beside)]),
            top + y - low,
            name,
            SMALLEST,
            bold=True,
            ha="right",
            gid="row",
        )


def _shifted(point: Point, dx: float, dy: float) -> Point:
    return point[0] + dx, point[1] + dy


def _draw_pairs(panel: BoardPanel, page: Page, left: float, top: float) -> None:
    """Tie the two of a pair together behind their tags, and say why where there is room for it."""
    here = {h.pupa: h for h in panel.hung}
    taken = list(_occupied(panel))
    for pair in panel.picture.pairs:
        if pair.a.pupa not in here or pair.b.pupa not in here:
            continue
        x1, y1, x2, y2 = (c for h in (pair.a, pair.b) for c in middle(panel.tag_box(h)))
        draw_link((left + x1, top + y1), (left + x2, top + y2), pair.wait, page, zorder=3.8)
        for text, within in _signs(pair):
            place = room_near((x1 + x2) / 2, (y1 + y2) / 2, (sign_width(text), SIGN_HEIGHT), taken, within)
            if place:
                x, y = middle(place)
                taken.append(place)
                draw_sign(text, pair.wait, left + x, top + y, page)
                break


def _signs(pair: Pair) -> tuple[tuple[str, float], ...]:
    """What a sign may say and how far from its pair, mm: farther off it has to name them."""
    gap = "wait" if pair.wait else gap_text(pair)
    return (sign_text(pair), 14.0), (f"{pair.a.pupa}, {pair.b.pupa}: {gap}", 20.0), (gap, 14.0)


def _occupied(panel: BoardPanel) -> Iterator[Box]:
    """What a sign must not cover: tags, pins and their numbers, what is outside the board."""
    yield from map(panel.tag_box, panel.hung)
    yield from (day_box(*panel.mm(k.x, k.y), k.since) for k in panel.kept)
    for _, (x, y), text in panel.pins:
        yield x - 1.5, y - 1.5, x + 1.5 + (0.8 + width(text, SMALLEST, True) if text else 0.0), y + 1.5
    right, low = panel.mm(panel.across[1], panel.up[0])
    yield -99.0, low - 99, INDENT, 99.0
    yield right, low - 99, right + 99, 99.0
    yield 0.0, 0.0, right, 99.0
