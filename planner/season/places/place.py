"""What a place is, and what each kind of place says for itself: its spots, its outline, its words.

All lengths in cm, whatever the keeper writes in; ``cm_per_unit`` is 1 or 2.54. The verifier asks nothing of
this but the fields: it measures for itself.
"""

from __future__ import annotations

import unicodedata
from abc import ABC, abstractmethod
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import ClassVar, Protocol, Self

from planner.season.pupae import Pupa
from planner.season.reading.fields import Fields
from planner.season.reading.temperature import Temperature

EDGE = 1e-6  # cm: what rounding may do to a point on an edge
SAME = 0.01  # cm: points closer than this are one
NARROWEST = 0.5  # cm between clips or pins; a pupa is wider

XY = tuple[float, float]
XYZ = tuple[float, float, float]


class Ruler(Protocol):
    """The unit that a keeper measures in: ``cm`` or ``in``."""

    @property
    def units(self) -> str:
        """Its sign."""

    @property
    def cm_per_unit(self) -> float:
        """1 or 2.54."""


@dataclass(frozen=True, kw_only=True)
class Place(ABC):
    """What every place has, and what is asked of every kind.

    ``left``: from the rack's left edge to the place's own left end; ``front``: how far before the wall.
    Both None: the place stands far from every other one. ``temperature``: its
    own; None: the season's. ``below``: height of the surface beneath it (0: the
    floor).

    A kind has a frame of its own: x to the right from its left end; y 0 on a line, up from the lower edge of
    what stands upright, away from the keeper on what lies flat.
    """

    kind: ClassVar[str]
    keys: ClassVar[tuple[str, ...]]
    """Keys of ``season.yaml`` beside the kind's own and those of every place."""
    offers_spots: ClassVar[bool] = True
    """Whether pupae can be hung there. Else they form there, and are found by x and y."""
    spots_in_units: ClassVar[bool] = False
    """Whether a spot is named by a length, to be told with its unit."""
    more: ClassVar[tuple[str, str, str] | None] = None
    """How one spot more than it has is called, and several, and which way it is larger then; None: nobody can
    add spots without moving those that are there."""

    name: str
    left: float | None = None
    front: float | None = None
    below: float = 0.0
    temperature: Temperature | None = None

    @classmethod
    @abstractmethod
    def read(cls, fields: Fields, name: str) -> Self | None:
        """Read its keys; what is wrong with them goes to the report of ``fields``, and None is returned."""

    @property
    def located(self) -> bool:
        """Whether it is known where the place stands, so that neighbours may cross from it to others."""
        return self.left is not None or self.front is not None

    @property
    def slides(self) -> bool:
        """Whether clips may be put anywhere: its marks then only say how many fit."""
        return False

    @property
    def stacked(self) -> bool:
        """Whether spots stand above or behind one another, not only side by side."""
        return self.extent[1] > 0

    @property
    def pitch(self) -> float:
        """From one spot to the next, cm; where clips slide, a clip's width."""
        return 0.0

    @property
    def clip_room(self) -> float:
        """How far apart two clips or pins must be, cm."""
        return 1e-3

    @property
    @abstractmethod
    def extent(self) -> XY:
        """Width and height of its frame, cm; a line's height is 0."""

    @abstractmethod
    def stand(self, x: float, y: float) -> XYZ:
        """Where a point of its frame is: from the rack's left edge, before the wall, above the floor; cm."""

    @property
    def outline(self) -> tuple[XY, ...]:
        """Its corners in its own frame, round it; of a line its two ends."""
        wide, high = self.extent
        return ((0.0, high), (wide, high), (wide, 0.0), (0.0, 0.0)) if high else ((0.0, 0.0), (wide, 0.0))

    def marks(self, cm_per_unit: float) -> Iterator[tuple[str, float, float]]:  # noqa: ARG002
        """Tag, x and y of its fixed spots, left to right and top to bottom."""
        yield from ()

    def point(self, spot: str, cm_per_unit: float) -> XY | None:  # noqa: ARG002
        """Where a spot is, or would be; None where the text names none."""
        return None

    def tidy(self, spot: str, cm_per_unit: float) -> str:  # noqa: ARG002
        """A spot as it is written on a tag: ``036.0`` is ``36``."""
        return spot

    def recorded(self, pupa: Pupa, cm_per_unit: float) -> tuple[str, float | None, float | None]:
        """Tag, x and y of the spot where a pupa hangs, or hung, by its row; x, y None where it names none."""
        spot = pupa.spot or ""
        at = self.point(spot, cm_per_unit)
        return (f"?{pupa.id}", None, None) if at is None else (self.tidy(spot, cm_per_unit), *at)

    @abstractmethod
    def faults(self, pupa: Pupa, ruler: Ruler) -> Iterator[tuple[str, str]]:
        """Column and fault of a row that puts a pupa where this place has no spot."""

    def taken(self, pupa: Pupa, cm_per_unit: float) -> tuple[str, XY] | None:
        """The point that a row takes, equal for two in one point, and its column; None: not measured."""
        at = self.point(pupa.spot or "", cm_per_unit)
        return None if at is None else ("spot", rounded(at))

    @abstractmethod
    def no_card(self, spot: str, hung: Collection[str], ruler: Ruler) -> str:
        """Why no card can stand at a spot, or empty. ``hung``: tags of all spots where somebody hung."""

    @abstractmethod
    def words(self, ruler: Ruler) -> str:
        """What it is, how large, and where: ``line, 160 cm long, 165 cm above the floor``."""

    def clips_words(self, ruler: Ruler) -> str:  # noqa: ARG002
        """Empty, or what its clips are beside fixed marks: ``sliding clips 3 cm wide``."""
        return ""

    def unit(self, units: str) -> str:
        """The unit of its spots' names, or empty."""
        return units if self.spots_in_units else ""

    def spot_words(self, spot: str, units: str) -> str:
        """Name a spot within its place: ``36 cm``, ``r2p5``, ``12,5``."""
        return f"{spot} {self.unit(units)}".rstrip()

    def longer(self, count: float) -> Self:  # noqa: ARG002
        """The same with so many more spots side by side (where clips slide: cm) at its right end."""
        raise TypeError(f"{self.name}: a {self.kind} has no end to add spots at")

    def as_here(self, spots: int, ruler: Ruler) -> str:  # noqa: ARG002
        """How so many spots made like its own would be bought: ``pins as on board cork``."""
        return f"as on {self.kind} {self.name}"


def rounded(at: XY) -> XY:
    """Equal for two points that are one."""
    return round(at[0] / SAME), round(at[1] / SAME)


def shown(cm: float, ruler: Ruler) -> str:
    """A length in the keeper's unit, without it."""
    return f"{round(cm / ruler.cm_per_unit, 2):g}"


def fold(name: str) -> str:
    """What all spellings of a name have in common; spreadsheets like to begin cells with a capital."""
    return unicodedata.normalize("NFC", name).casefold()
