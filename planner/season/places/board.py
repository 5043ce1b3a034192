"""An upright board with pins in rows."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from typing import Self

from planner.season.places.place import EDGE, NARROWEST, XY, XYZ, Place, Ruler, shown
from planner.season.pupae import Pupa
from planner.season.reading.fields import Fields
from planner.season.reading.problems import shorten

MOST_PINS = 100_000
_PIN = re.compile(r"r([1-9]\d{0,3})p([1-9]\d{0,3})")


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
    keys = ("width", "height", "pins_every", "pattern", "bottom", "below")
    more = ("more column of pins on", "more columns of pins on", "wide")

    width: float
    height: float
    pins_every: float
    bottom: float
    pattern: str = "square"

    @classmethod
    def read(cls, fields: Fields, name: str) -> Self | None:
        """Read its keys."""
        width = fields.length("width", 0.0, need=True)
        height = fields.length("height", 0.0, need=True)
        every = fields.length("pins_every", 0.0, low=NARROWEST, above=False, need=True)
        pattern = fields.choice("pattern", "square", ("square", "staggered"))
        bottom = fields.length("bottom", 0.0, above=False, need=True)
        below = fields.length("below", 0.0, above=False)
        if below > bottom:
            fields.fault("below", "must not be above the board's bottom edge")
        if width and height and every:
            if every / 2 >= min(width, height):
                what = "must be less than twice the board's width and height: it has no pin"
                fields.fault("pins_every", what)
            elif width / every * height / every > MOST_PINS:
                fields.fault("pins_every", f"makes more than {MOST_PINS} pins on this board")
        if not fields.clean:
            return None
        return cls(
            name=name, width=width, height=height,
            pins_every=every, bottom=bottom, pattern=pattern, below=below,
        )  # fmt: skip

    @property
    def pitch(self) -> float:
        """From one pin to the next."""
        return self.pins_every

    @property
    def extent(self) -> XY:
        """Its edges."""
        return self.width, self.height

    def stand(self, x: float, y: float) -> XYZ:
        """Upright: y goes up."""
        return (self.left or 0.0) + x, self.front or 0.0, self.bottom + y

    def marks(self, cm_per_unit: float) -> Iterator[tuple[str, float, float]]:  # noqa: ARG002
        """Its pins, row by row from the top."""
        for row in range(1, int(self.height / self.pins_every + 0.5 + 1e-9) + 1):
            for pin in range(1, int(self.width / self.pins_every + 0.5 + 1e-9) + 1):
                x, y = self.pin(row, pin)
                if self._holds(x, y):
                    yield f"r{row}p{pin}", x, y

    def pin(self, row: int, pin: int) -> XY:
        """Where a pin is, on the board or beyond its edges."""
        shift = 0.5 if self.pattern == "staggered" and row % 2 == 0 else 0.0
        x, y = (pin - 0.5 + shift) * self.pins_every, self.height - (row - 0.5) * self.pins_every
        return round(x, 6), round(y, 6)

    def _holds(self, x: float, y: float) -> bool:
        return x < self.width - EDGE and y > EDGE

    def point(self, spot: str, cm_per_unit: float) -> XY | None:  # noqa: ARG002
        """Where the pin of that name is."""
        named = parse_pin(spot)
        return None if named is None else self.pin(*named)

    def faults(self, pupa: Pupa, ruler: Ruler) -> Iterator[tuple[str, str]]:
        """A pin that is on the board."""
        spot, where = pupa.spot or "", f"board {self.name}"
        at = self.point(spot, ruler.cm_per_unit)
        if not spot:
            yield "spot", f"is missing: it hangs on {where}, write the pin, such as r2p5"
        elif at is None:
            yield "spot", f"'{shorten(spot)}' is not a pin on {where}: write row and pin, such as r2p5"
        elif not self._holds(*at):
            yield "spot", f"there is no pin {spot} on {where}"

    def no_card(self, spot: str, hung: Collection[str], ruler: Ruler) -> str:  # noqa: ARG002
        """At a pin."""
        at = self.point(spot, ruler.cm_per_unit)
        if at is None or not self._holds(*at):
            return f"there is no such pin on board {self.name}; write one such as r2p5"
        return ""

    def words(self, ruler: Ruler) -> str:
        """How large, and how high its lower edge is."""
        size = f"{shown(self.width, ruler)} × {shown(self.height, ruler)} {ruler.units}"
        return f"board, {size}, lower edge {shown(self.bottom, ruler)} {ruler.units} above the floor"

    def longer(self, count: float) -> Self:
        """With so many more columns of pins."""
        return replace(self, width=round(self.width + count * self.pins_every, 6))

    def as_here(self, spots: int, ruler: Ruler) -> str:  # noqa: ARG002
        """As many pins."""
        return f"pins as on board {self.name}"


def parse_pin(text: str) -> tuple[int, int] | None:
    """``r2p5`` → (2, 5), or None when it is not a pin's name."""
    match = _PIN.fullmatch(text)
    return (int(match[1]), int(match[2])) if match else None
