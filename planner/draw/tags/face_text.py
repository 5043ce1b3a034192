"""Text set on the face of a tag: the date, and rows below it as large as they fit; whole, or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from planner.draw.paper.words import CAP, fit, width
from planner.style import MM_PER_PT, TAG_GOOD, TAG_LARGEST, TAG_LEAST

SHRINK = 0.7  # how far a row that is too wide may shrink beside the others
FAIR = 6.0  # pt: before rows grow smaller, the date does
STEP = 1.22  # from baseline to baseline of small rows, in their size
ASCENT, DESCENT = 0.77, 0.24  # how far letters go above and below the baseline, likewise
DATE_GAP = 0.75  # from the date's baseline to the row below, likewise
FOOT = 0.31  # the same in the date's size, where that is more: room for the foot of a J
STUB = 3  # letters of a name that is shortened, at least
FINEST = 0.02  # pt, between two sizes tried


@dataclass(frozen=True)
class Part:
    """Words of a row. ``short``: a name that may be shortened where nothing else helps."""

    text: str
    bold: bool = False
    short: bool = False

    def width(self, stub: bool) -> float:
        """Its width at 1 pt, mm; ``stub``: shortened as far as it may be."""
        text = self.text
        if stub and self.short and len(text) > STUB + 1:
            text = text[:STUB] + "…"
        return width(text, 1.0, self.bold)


@dataclass(frozen=True)
class Row:
    """Parts side by side; or ``items``, broken over as many rows as it takes, a comma between two."""

    parts: tuple[Part, ...] = ()
    items: tuple[str, ...] = ()

    def width(self, stub: bool) -> float:
        """Its width at 1 pt, mm."""
        return sum(p.width(stub) for p in self.parts) + _space() * (len(self.parts) - 1)


@dataclass(frozen=True)
class Wording:
    """Rows below the date, and what they lack of all there is to say. ``stub``: names may be shortened."""

    rows: tuple[Row, ...]
    lacks: tuple[str, ...] = ()
    stub: bool = False


@dataclass(frozen=True)
class FaceText:
    """The text of a face as it is set: sizes in pt; ``rows`` each with its own."""

    date: str
    date_size: float
    size: float
    rows: tuple[tuple[Row, float], ...]
    lacks: tuple[str, ...]

    @property
    def least(self) -> float:
        """Size of the smallest row."""
        return min((size for _, size in self.rows), default=self.size)

    @property
    def gap(self) -> float:
        """From the date's baseline to the row below it, mm."""
        return _gap(self.size, self.date_size) * MM_PER_PT

    @property
    def height(self) -> float:
        """Height from the date's top to the last descender, mm."""
        return _height(len(self.rows), self.size, self.date_size) * MM_PER_PT


def set_text(
    date: str, wordings: Sequence[Wording], room: tuple[float, float], lead: tuple[float, float]
) -> FaceText | None:
    """Set the first wording that reads well, else the one whose smallest row is largest; None: none fits.

    ``room``: width and height, mm; ``lead``: sizes of the date in sizes of the rows, at least and at best.
    """
    best: FaceText | None = None
    for wording in wordings:
        found = _set(date, wording, room, lead)
        if found and found.least >= TAG_GOOD:
            return found
        if found and (best is None or found.least > best.least):
            best = found
    return best


def _set(
    date: str, wording: Wording, room: tuple[float, float], lead: tuple[float, float]
) -> FaceText | None:
    widest = room[0] / width(date, 1.0, bold=True)
    lists = any(row.items for row in wording.rows)  # else the rows are the same at every size
    rows = list(wording.rows)
    longest = 0.0 if lists else max(row.width(wording.stub) for row in rows)
    if longest * TAG_LEAST > room[0]:
        return None

    def fits(size: float, leads: float) -> bool:
        nonlocal rows, longest
        if lists:
            rows = _broken(wording.rows, size, room[0])
            longest = max(row.width(wording.stub) for row in rows)
        high = _height(len(rows), size, min(widest, leads * size)) * MM_PER_PT
        return high <= room[1] and longest * max(TAG_LEAST, SHRINK * size) <= room[0]

    def largest(most: float, leads: float) -> float:
        """The largest size that fits; 0: none."""
        low, high = 0.0, most
        if not fits(TAG_LEAST, leads):
            return 0.0
        if fits(most, leads):
            return most
        low = TAG_LEAST
        while high - low > FINEST:
            middle = (low + high) / 2
            low, high = (middle, high) if fits(middle, leads) else (low, middle)
        return low

    most = min(TAG_LARGEST, max(widest / lead[0], min(widest, FAIR)))
    if most < TAG_LEAST:
        return None
    size = largest(most, lead[1])
    if size < FAIR:
        size = largest(min(most, FAIR), lead[0])
    if not size:
        return None
    rows = _broken(wording.rows, size, room[0])
    left = room[1] / MM_PER_PT - _height(len(rows), size, 0.0)
    by_height = min(left / ASCENT, (left + DATE_GAP * size) / (ASCENT + FOOT))
    return FaceText(
        date,
        min(widest, lead[1] * size, by_height),
        size,
        tuple((row, min(size, room[0] / row.width(wording.stub))) for row in rows),
        wording.lacks,
    )


def shortened(row: Row, size: float, room: float) -> Row:
    """The row with the name in it shortened, if it is wider than ``room`` mm."""
    more = row.width(stub=False) * size - room
    if more <= 1e-6:  # what is made exactly as wide as the room fits it
        return row
    parts = tuple(
        Part(fit(p.text, size, p.width(stub=False) * size - more), p.bold) if p.short else p
        for p in row.parts
    )
    return Row(parts)


def _broken(rows: Sequence[Row], size: float, room: float) -> list[Row]:
    """Rows with lists of items broken into rows as wide as the room."""
    found: list[Row] = []
    for row in rows:
        line = ""
        for k, item in enumerate(row.items):
            item += "," if k + 1 < len(row.items) else ""
            longer = f"{line} {item}" if line else item
            if line and width(longer, size) > room:
                found.append(Row((Part(line),)))
                longer = item
            line = longer
        found.append(Row((Part(line),)) if row.items else row)
    return found


def _height(rows: int, size: float, date: float) -> float:
    """Height from the date's top to the last descender, pt."""
    return ASCENT * date + _gap(size, date) + (CAP + STEP * (rows - 1) + DESCENT) * size


def _gap(size: float, date: float) -> float:
    return max(DATE_GAP * size, FOOT * date)


@cache
def _space() -> float:
    return width("n n", 1.0) - width("nn", 1.0)
