"""Shapes of tags: what is cut out round the face, and how it holds; without matplotlib."""

from __future__ import annotations

from dataclasses import dataclass

AT_DASHES = "fold at the dashes"
HOLE = 4.0  # mm across
HOLE_STRIP = 8.0  # mm above the face; as much paper round the hole as it is wide
WEDGE_STRIP, WEDGE_END = 12.0, 8.0  # mm: height of the part that tapers, and its width where it ends


@dataclass(frozen=True)
class Shape:
    """One shape. ``wide``, ``high``: in faces; ``strip``: mm above the face; ``how`` it is made to hold.

    ``brief``: the same beside other shapes.
    """

    name: str
    how: str
    brief: str = ""
    wide: int = 1
    high: int = 1
    strip: float = 0.0

    def piece(self, face: tuple[float, float]) -> tuple[float, float]:
        """Size of what is cut out, mm."""
        return self.wide * face[0], self.high * face[1] + self.strip

    def largest_face(self, piece: tuple[float, float]) -> tuple[float, float]:
        """Size of the face of a piece, mm."""
        return piece[0] / self.wide, (piece[1] - self.strip) / self.high


SHAPES = {
    shape.name: shape
    for shape in (
        Shape("card", "a plain card", "on the lid beside its pupa"),
        Shape("fold", f"{AT_DASHES} over the line or the clip, print outside", "over line or clip", high=2),
        Shape("wedge", "cut along the slants; the narrow end goes into the clip's jaw", strip=WEDGE_STRIP),
        Shape("hole", "punch the ring out; for a thread or the clip's wire", strip=HOLE_STRIP),
        Shape("flag", f"{AT_DASHES} round the pin, print outside, and glue", "round the pin, glue", wide=2),
    )
}
AUTO = "auto"
OF_KIND = {"line": SHAPES["fold"], "board": SHAPES["flag"], "lid": SHAPES["card"]}  # in the order of cutting


@dataclass(frozen=True)
class Face:
    """Where a face is: its lower left corner, mm; ``turned``: upside down, for the side folded over."""

    left: float
    bottom: float
    turned: bool = False


def faces(shape: Shape, face: tuple[float, float], left: float, bottom: float) -> list[Face]:
    """All faces of a piece with its lower left corner at (left, bottom); each is to be read once folded."""
    if shape.high == 2:
        return [Face(left, bottom), Face(left, bottom + face[1], turned=True)]
    return [Face(left + i * face[0], bottom) for i in range(shape.wide)]
