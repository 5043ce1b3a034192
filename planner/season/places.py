"""The three kinds of place: line, board, lid. All lengths in cm, whatever the keeper writes in."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import ClassVar

_PIN = re.compile(r"r([1-9]\d{0,3})p([1-9]\d{0,3})")


@dataclass(frozen=True, kw_only=True)
class Place:
    """What every place has.

    ``left``: from the rack's left edge to the place's own left end; ``front``: how far before the wall.
    Both None: the place stands far from every other one.
    """

    kind: ClassVar[str]
    name: str
    left: float | None = None
    front: float | None = None

    @property
    def located(self) -> bool:
        """Whether it is known where the place stands, so that neighbours may cross from it to others."""
        return self.left is not None or self.front is not None


@dataclass(frozen=True, kw_only=True)
class Line(Place):
    """A yarn or rod, level, running left to right at ``height`` above the floor.

    Exactly one of ``clips_every`` (fixed clip marks at every multiple, ends excluded) and ``clip_width``
    (clips slide) is set. ``to_nearest``: clips that slide sit at multiples of it. ``below``: height of the
    surface beneath it (0: the floor).
    """

    kind = "line"
    length: float
    height: float
    clips_every: float | None = None
    clip_width: float | None = None
    to_nearest: float = 0.5
    below: float = 0.0

    def __post_init__(self) -> None:
        if (self.clips_every is None) == (self.clip_width is None):
            raise ValueError("a line has either clips_every (fixed marks) or clip_width (sliding clips)")


@dataclass(frozen=True, kw_only=True)
class Board(Place):
    """An upright board with pins every ``pins_every`` cm, its bottom edge at height ``bottom``.

    Rows count from the top, pins from the left, both from 1. The grid keeps half a spacing from the left
    and the top edge; in a ``staggered`` board every second row is shifted right by half a spacing, in a
    ``square`` one none.
    Pin p of row r is at x = (p - 1/2 [+ 1/2 in even rows of a staggered board]) * pins_every from the left
    edge and (r - 1/2) * pins_every below the top edge; only pins on the board count.
    """

    kind = "board"
    width: float
    height: float
    pins_every: float
    bottom: float
    pattern: str = "square"
    below: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Lid(Place):
    """A tub's lid, seen from above: x to the right along ``width``, y along ``length``, towards the wall.

    ``clear``: everybody must leave it. ``height``: of the lid above the floor, when it is known where it
    stands.
    """

    kind = "lid"
    width: float
    length: float
    clear: bool = False
    height: float = 0.0


def fold(name: str) -> str:
    """What all spellings of a name have in common; spreadsheets like to begin cells with a capital."""
    return unicodedata.normalize("NFC", name).casefold()


def parse_pin(text: str) -> tuple[int, int] | None:
    """``r2p5`` → (2, 5), or None when it is not a pin's name."""
    match = _PIN.fullmatch(text)
    return (int(match[1]), int(match[2])) if match else None
