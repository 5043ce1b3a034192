"""What a strip is made of: tags that hang from spots by a thread, spots that are free, names of spots.

Lengths px at 100 %, the origin in a strip's upper left corner.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.rack.cards import cards_on, ends_of
from planner.rack.spots import Spot
from planner.report.page.data import PageData, Shown
from planner.report.page.place import Box, Point
from planner.report.texts.text import columns
from planner.season.places import Place

TAG_HEIGHT = 47
NARROWEST, WIDEST = 46, 96  # of a tag
BESIDE = 4  # between two tags
TOP = 28  # from a strip's edge down to a line, or to a lid's edge
PAD = 14
THREAD = 12  # from a spot down to its tag
LETTER = 8.2  # of a letter of an id, at most
STEP_LETTER = 7.0  # of a letter of a step, in the widest typeface that a browser may choose
CARD_BAR = 26.0  # length of the bar that stands for a card
CARD_ABOVE = 12.0  # from the lower of two spots, up to a card between them
LEAST_SCALE, MOST_SCALE = 5.0, 60.0  # px per cm


@dataclass(frozen=True)
class Tag:
    """One pupa at one spot. ``after``: it hangs there once so many of its moves are done; 0: it does now.

    ``tx``, ``ty``: the way from the spot to the middle of the tag's upper edge.
    """

    one: Shown
    after: int
    x: float
    y: float
    tx: float = 0.0
    ty: float = THREAD


@dataclass(frozen=True)
class Free:
    """Spots nobody has: ``marks`` to be used, ``kept`` for some to come, ``bad`` not to be used."""

    marks: tuple[Point, ...] = ()
    kept: tuple[Point, ...] = ()
    bad: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Strip:
    """One place. ``frame``: its edges; of a line from end to end, without height.

    ``numbers``: names of spots. ``counted``: whether its free spots can be counted, not where clips slide.
    ``unmeasured``: whether the lowest row is of pupae whose point on the lid is not known. ``cards``: both
    ends of each bar that stands for a card between two spots; ``cards_words``: all its cards in a sentence.
    """

    place: Place
    words: str
    width: float
    height: float
    frame: Box
    tags: tuple[Tag, ...]
    free: Free
    numbers: tuple[tuple[float, float, str], ...] = ()
    counted: bool = True
    unmeasured: bool = False
    cards: tuple[tuple[Point, Point], ...] = ()
    cards_words: str = ""


@dataclass(frozen=True)
class Rack:
    """All strips, and the places that need none: lids on which nobody is."""

    strips: tuple[Strip, ...]
    empty: tuple[str, ...]
    tag_width: float


@dataclass(frozen=True)
class At:
    """A pupa at a point of a place's own frame, cm; None: not measured."""

    one: Shown
    after: int
    x: float | None
    y: float | None
    spot: str


@dataclass(frozen=True)
class View:
    """A place, its spots, and who is or will be on it.

    ``tag_width`` is one for all places, ``line_scale`` (px per cm) one for all lines.
    """

    page: PageData
    place: Place
    marks: Sequence[Spot]
    here: Sequence[At]
    tag_width: float
    line_scale: float = LEAST_SCALE

    @property
    def words(self) -> str:
        """What it is, where, and whether its clips slide."""
        season = self.page.season
        return ", ".join(filter(None, (self.place.words(season), self.place.clips_words(season))))


def tag_width(shown: Sequence[Shown]) -> float:
    """Of all tags: as wide as the longest id and step need, within bounds; longer ids are shortened."""
    ids = (LETTER * (columns(s.prospect.pupa.id) + s.clash) + 8 for s in shown)
    steps = (STEP_LETTER * columns(f"step {m.step}") + 4 for s in shown for m in s.moves)
    return min(WIDEST, max([NARROWEST, *ids, *steps]))


def short_id(name: str, width: float) -> str:
    """An id as a tag has room for it, its middle left out; the card names it whole."""
    if LETTER * columns(name) + 8 <= width:
        return name
    room = int((width - 8) / LETTER) - 1
    head, tail = name, name
    while columns(head) > (room + 1) // 2:
        head = head[:-1]
    while columns(tail) > room // 2:
        tail = tail[1:]
    return f"{head}…{tail}"


def card_bars(view: View, px: Callable[[float, float], Point]) -> tuple[tuple[Point, Point], ...]:
    """Bars of a place's cards, across the way from spot to spot; nearer to the lower one, above its sign."""
    at = {s.tag: (s.x, s.y or 0.0) for s in view.marks if s.x is not None}
    at |= {a.spot: (a.x, a.y or 0.0) for a in view.here if a.x is not None}
    season, found = view.page.season, []
    for ends in ends_of(cards_on(view.place.name, season.dividers), at, season.cm_per_unit):
        (x, y), (x2, y2) = sorted((px(*end) for end in ends), key=lambda end: -end[1])
        far = math.dist((x, y), (x2, y2)) or 1.0
        part = 0.5 if y - y2 < 1 else min(0.5, CARD_ABOVE / far)
        dx, dy = (x2 - x) / far, (y2 - y) / far
        x, y = x + part * far * dx, y + part * far * dy
        across, up = dy * CARD_BAR / 2, dx * CARD_BAR / 2
        found.append(((x - across, y + up), (x + across, y - up)))
    return tuple(found)


def free_spots(page: PageData, spots: Sequence[Spot], px: Callable[[Spot], Point]) -> Free:
    """Sort spots nobody has by whether they are kept for some to come, or not to be used."""
    kept = {(k.place, k.spot) for k in page.plan.kept} if page.plan else set()
    return Free(
        tuple(px(s) for s in spots if not s.unusable and (s.place, s.tag) not in kept),
        tuple(px(s) for s in spots if not s.unusable and (s.place, s.tag) in kept),
        tuple(px(s) for s in spots if s.unusable),
    )
