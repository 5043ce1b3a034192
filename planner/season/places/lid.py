"""A tub's lid, where pupae form; nobody is hung on one."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from math import cos, hypot, pi, sin
from typing import Self

from planner.season.places.place import EDGE, XY, XYZ, Place, Ruler, rounded, shown
from planner.season.pupae import Pupa
from planner.season.reading.fields import Fields
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import parse_number, tidy

RIM = 36  # points by which the rim of a round one is drawn


@dataclass(frozen=True, kw_only=True)
class Lid(Place):
    """A tub's lid, seen from above: x to the right along ``width``, y along ``length``, towards the wall.

    ``clear``: everybody must leave it. ``height``: of the lid above the floor, when it is known where it
    stands. ``circular``: a round one; width and length are then its diameter.
    """

    kind = "lid"
    keys = ("width", "length", "diameter", "clear", "height")
    offers_spots = False

    width: float
    length: float
    clear: bool = False
    height: float = 0.0
    circular: bool = False

    @classmethod
    def read(cls, fields: Fields, name: str) -> Self | None:
        """Read its keys."""
        circular = fields.has("diameter")
        if circular:
            width = length = fields.length("diameter", 0.0)
            for key in ("width", "length"):
                if fields.has(key):
                    fields.fault(key, "diameter is given too: a round lid has that alone")
        else:
            width = fields.length("width", 0.0, need=True)
            length = fields.length("length", 0.0, need=True)
        clear = fields.yes("clear", False)
        height = fields.length("height", 0.0, above=False)
        if not fields.clean:
            return None
        return cls(name=name, width=width, length=length, clear=clear, height=height, circular=circular)

    @property
    def extent(self) -> XY:
        """Its edges."""
        return self.width, self.length

    def stand(self, x: float, y: float) -> XYZ:
        """Flat: y goes towards the wall."""
        return (self.left or 0.0) + x, (self.front or 0.0) + self.length - y, self.height

    @property
    def outline(self) -> tuple[XY, ...]:
        """Its corners, the near left one first; of a round one points of its rim, the near one first."""
        if self.circular:
            r, turns = self.width / 2, (2 * pi * k / RIM for k in range(RIM))
            return tuple((r + r * sin(turn), r - r * cos(turn)) for turn in turns)
        return (0.0, 0.0), (self.width, 0.0), (self.width, self.length), (0.0, self.length)

    def point(self, spot: str, cm_per_unit: float) -> XY | None:
        """``12,5`` in the keeper's unit."""
        x, y = (parse_number(part.strip()) for part in spot.partition(",")[::2])
        return None if x is None or y is None else (x * cm_per_unit, y * cm_per_unit)

    def recorded(self, pupa: Pupa, cm_per_unit: float) -> tuple[str, float | None, float | None]:
        """By x and y; several may be unmeasured, and each has a spot of its own."""
        if pupa.x is None or pupa.y is None:
            return f"?{pupa.id}", pupa.x, pupa.y
        return f"{pupa.x / cm_per_unit:.4g},{pupa.y / cm_per_unit:.4g}", pupa.x, pupa.y

    def faults(self, pupa: Pupa, ruler: Ruler) -> Iterator[tuple[str, str]]:
        """A point on the lid, or none."""
        where, unit, factor = f"lid {self.name}", ruler.units, ruler.cm_per_unit
        if pupa.spot:
            yield "spot", f"'{shorten(pupa.spot)}': {where} has no spots: write x and y instead, or nothing"
        for column, other, value, most in (("x", "y", pupa.x, self.width), ("y", "x", pupa.y, self.length)):
            if value is not None and not -EDGE <= value <= most + EDGE:
                allowed = f"0 to {tidy(most / factor)} {unit}"
                yield column, f"{tidy(value / factor)} {unit} is not on {where}: {allowed}"
            elif value is None and getattr(pupa, other) is not None:
                yield column, f"is missing, but {other} is given: write both or neither"
        if self.circular and pupa.x is not None and pupa.y is not None:
            r = self.width / 2
            square = 0 <= pupa.x <= self.width and 0 <= pupa.y <= self.width  # beyond that it is told above
            if square and hypot(pupa.x - r, pupa.y - r) > r + EDGE:
                at, wide = f"{tidy(pupa.x / factor)},{tidy(pupa.y / factor)}", tidy(self.width / factor)
                yield "x", f"{at} is not on {where}: it is round, {wide} {unit} across"

    def taken(self, pupa: Pupa, cm_per_unit: float) -> tuple[str, XY] | None:  # noqa: ARG002
        """Its point, where it was measured."""
        return None if pupa.x is None or pupa.y is None else ("x", rounded((pupa.x, pupa.y)))

    def no_card(self, spot: str, hung: Collection[str], ruler: Ruler) -> str:  # noqa: ARG002
        """None at all."""
        return "a lid has no spots; a card stands between spots of lines and boards"

    def words(self, ruler: Ruler) -> str:
        """How large, from where it is measured, and whether everybody must leave it."""
        size, clear = shown(self.width, ruler), ", to be cleared" if self.clear else ""
        if self.circular:
            return f"lid from above, round, {size} {ruler.units}, x from its left, y from its near end{clear}"
        size = f"{size} × {shown(self.length, ruler)} {ruler.units}"
        return f"lid from above, {size}, x,y from its lower left corner{clear}"

    def spot_words(self, spot: str, units: str) -> str:  # noqa: ARG002
        """``12,5``, or ``?`` where it was never measured."""
        return "?" if spot.startswith("?") else spot
