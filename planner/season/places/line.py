"""A yarn or rod, with clips at fixed marks or clips that slide."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from typing import Self

from planner.season.places.place import NARROWEST, XY, XYZ, Place, Ruler, shown
from planner.season.pupae import Pupa
from planner.season.reading.fields import Fields
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import parse_number, tidy

ROUNDING = 0.005  # cm: a tag in thousandths of an inch is this near to the mark that it means


@dataclass(frozen=True, kw_only=True)
class Line(Place):
    """A yarn or rod, level, running left to right at ``height`` above the floor.

    Exactly one of ``clips_every`` (fixed clip marks at every multiple, ends excluded) and ``clip_width``
    (clips slide) is set. ``to_nearest``: clips that slide sit at multiples of it. A spot is its distance from
    the left end in the keeper's unit.
    """

    kind = "line"
    keys = ("length", "height", "clips_every", "clip_width", "to_nearest", "below")
    spots_in_units = True
    more = ("more spot at the end of", "more spots at the end of", "long")

    length: float
    height: float
    clips_every: float | None = None
    clip_width: float | None = None
    to_nearest: float = 0.5

    def __post_init__(self) -> None:
        if (self.clips_every is None) == (self.clip_width is None):
            raise ValueError("a line has either clips_every (fixed marks) or clip_width (sliding clips)")

    @classmethod
    def read(cls, fields: Fields, name: str) -> Self | None:
        """Read its keys."""
        length = fields.length("length", 0.0, need=True)
        height = fields.length("height", 0.0, need=True)
        clips_every = fields.length("clips_every", None, low=NARROWEST, above=False)
        clip_width = fields.length("clip_width", None, low=0.1, high=100, above=False)
        usual = 0.5 if fields.report.unit == "cm" else 0.25 * fields.report.factor
        to_nearest = fields.length("to_nearest", usual, low=0.1, high=10, above=False)
        below = fields.length("below", 0.0, above=False)
        if height and below >= height:
            fields.fault("below", "must be less than the height: it is the surface beneath")
        for key, width in (("clips_every", clips_every), ("clip_width", clip_width)):
            if width is not None and length and width >= length:
                fields.fault(key, "must be less than the line's length, or there is no room for a clip")
        both = fields.has("clips_every"), fields.has("clip_width")
        if both[0] == both[1]:
            what = "both clips_every and clip_width" if both[0] else "neither clips_every nor clip_width"
            how = "write clips_every for fixed marks, or clip_width for clips that slide"
            fields.fault("", f"has {what}: {how}")
        if fields.has("to_nearest") and fields.has("clips_every"):
            what = "is for clips that slide (clip_width); fixed marks are where clips_every says"
            fields.fault("to_nearest", what)
        if not fields.clean:
            return None
        return cls(
            name=name, length=length, height=height,
            clips_every=clips_every, clip_width=clip_width, below=below,
            to_nearest=usual if to_nearest is None else to_nearest,
        )  # fmt: skip

    @property
    def slides(self) -> bool:
        """Whether clips may be put anywhere."""
        return self.clip_width is not None

    @property
    def pitch(self) -> float:
        """From one mark to the next; where clips slide, a clip's width."""
        return self.clips_every or self.clip_width or 0.0

    @property
    def clip_room(self) -> float:
        """A sliding clip's width, or half the step of marks: for who hangs between them."""
        return self.clip_width or (self.clips_every or 0.0) / 2

    @property
    def extent(self) -> XY:
        """As long as it is, and without height."""
        return self.length, 0.0

    def stand(self, x: float, y: float) -> XYZ:  # noqa: ARG002
        """At one height all along it."""
        return (self.left or 0.0) + x, self.front or 0.0, self.height

    def marks(self, cm_per_unit: float) -> Iterator[tuple[str, float, float]]:
        """Its fixed marks; the ends are knots."""
        if (step := self.clips_every) is not None:
            for k in range(1, math.ceil(self.length / step - 1e-9)):
                x = round(step * k, 6)
                yield self.tag(x, cm_per_unit), x, 0.0

    def tag(self, x: float, cm_per_unit: float) -> str:
        """How a position is written: in the keeper's unit, shortest form."""
        return f"{round(x / cm_per_unit, 3):.10g}"

    def meant(self, x: float) -> float:
        """The mark, or the step of clips that slide, that a rounded tag means (cm); else the point itself."""
        step = self.clips_every or self.to_nearest
        exact = round(x / step) * step
        return round(exact if abs(exact - x) <= ROUNDING else x, 6)

    def point(self, spot: str, cm_per_unit: float) -> XY | None:
        """So far from the left end."""
        number = parse_number(spot)
        return None if number is None else (self.meant(number * cm_per_unit), 0.0)

    def tidy(self, spot: str, cm_per_unit: float) -> str:
        """In its shortest form."""
        at = self.point(spot, cm_per_unit)
        return spot if at is None else self.tag(at[0], cm_per_unit)

    def faults(self, pupa: Pupa, ruler: Ruler) -> Iterator[tuple[str, str]]:
        """A position on the line, between its ends."""
        spot, where = pupa.spot or "", f"line {self.name}"
        at, length = parse_number(spot), self.length / ruler.cm_per_unit
        allowed = f"more than 0 and less than {tidy(length)} {ruler.units}"
        if not spot:
            yield "spot", f"is missing: it hangs on {where}, write where, {allowed}"
        elif at is None:
            yield "spot", f"'{shorten(spot)}' is not a position on {where}: write a number, {allowed}"
        elif not 0 < at < length:
            yield "spot", f"{tidy(at)} {ruler.units} is not on {where}: {allowed}"

    def no_card(self, spot: str, hung: Collection[str], ruler: Ruler) -> str:
        """At a mark, or where somebody hung between two."""
        at, end = parse_number(spot), self.length / ruler.cm_per_unit
        if at is None or not 0 < at < end:
            return f"write where on line {self.name}, more than 0 and less than {tidy(end)}"
        if (every := self.clips_every) and spot not in hung:
            x = at * ruler.cm_per_unit
            if abs(x - round(x / every) * every) > ROUNDING:
                step = f"every {tidy(every / ruler.cm_per_unit)} {ruler.units}"
                return f"there is no mark, and nobody hangs there; marks are {step}"
        return ""

    def words(self, ruler: Ruler) -> str:
        """How long and how high."""
        size = f"{shown(self.length, ruler)} {ruler.units} long"
        return f"line, {size}, {shown(self.height, ruler)} {ruler.units} above the floor"

    def clips_words(self, ruler: Ruler) -> str:
        """How wide, where they slide."""
        return f"sliding clips {shown(self.clip_width, ruler)} {ruler.units} wide" if self.clip_width else ""

    def longer(self, count: float) -> Self:
        """With so many more marks, or cm where clips slide."""
        return replace(self, length=round(self.length + count * (self.clips_every or 1.0), 6))

    def as_here(self, spots: int, ruler: Ruler) -> str:
        """So much yarn."""
        length = math.ceil(spots * self.pitch / ruler.cm_per_unit - 1e-9)
        how = "with marks as on" if self.clips_every else "at least, clip to clip as on"
        return f"{length} {ruler.units} of line {how} {self.name}"
