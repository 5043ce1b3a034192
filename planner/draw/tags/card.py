"""What stands on one tag to cut out, and how it is made to fit the card."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from matplotlib.axes import Axes

from planner.draw.paper.pen import put
from planner.draw.paper.words import CAP, fit, width
from planner.draw.tags.codes import draw_code, side_of
from planner.draw.tags.shapes import Face
from planner.season.direction import apart
from planner.style import MM_PER_PT, TAG_GOOD, TAG_LARGEST, TAG_LEAST
from planner.words import day_month

INNER = 2.0  # mm kept free inside each edge
DATE = 2.4  # size of the date, in sizes of the small rows
LEADS = 1.5  # what it has at least, on a narrow card
SHRINK = 0.7  # how far a row that is too wide may shrink, before it is shortened
STEP = 1.22  # from baseline to baseline of small rows, likewise
ASCENT, DESCENT = 0.77, 0.24  # how far letters go above and below the baseline, likewise
DATE_GAP = 0.75  # from the date's baseline to the row below, likewise; room for the foot of a J


@dataclass(frozen=True, kw_only=True)
class Tag:
    """What one tag says. ``word``: the species; ``spot`` is empty where the place alone says it.

    ``kind``: of place, which may choose the tag's shape.
    """

    id: str
    word: str
    pupated: date | None
    due: date | None
    place: str
    spot: str = ""
    kind: str = "line"


@dataclass(frozen=True)
class Row:
    """A small row: text that may be shortened, before or after text kept whole as long as it can be.

    ``whole``: what follows both and is never shortened, however small it must be set.
    """

    kept: str
    loose: str = ""
    loose_first: bool = False
    bold: bool = False
    whole: str = ""


Rows = tuple[Row, ...]


def arrangements(tag: Tag) -> tuple[Rows, Rows, Rows]:
    """Rows under the date: three for a card with room, two for a low one; four for a high and narrow one."""
    due = f"due {day_month(tag.due)}" if tag.due else "due ?"
    where = Row(tag.spot, tag.place, loose_first=True)
    tall = (Row(tag.id, tag.word, bold=True), Row("", whole=due), where)
    low = (Row(tag.id, whole=due), where)
    return tall, low, (*tall[:2], Row("", tag.place), Row(tag.spot))


@dataclass(frozen=True)
class Writer:
    """Writes on a face in its own frame, mm from its lower left corner, whichever way up it is."""

    ax: Axes
    face: Face
    size: tuple[float, float]

    def put(self, x: float, y: float, text: str, size: float, **more: Any) -> None:
        """Set a text as `planner.draw.paper.pen.put` does."""
        if self.face.turned:
            x, y = self.size[0] - x, self.size[1] - y
        put(self.ax, self.face.left + x, self.face.bottom + y, text, size, turned=self.face.turned, **more)


def draw_card(tag: Tag, size: tuple[float, float], ax: Axes, face: Face, *, code: bool = False) -> Axes:
    """Write one tag on a face of a size, mm on paper; nothing leaves it.

    The tall arrangement is taken when it reads well, else the one whose text comes out larger. ``code``: with
    a QR code of the id at its right.
    """
    side = side_of(size) if code else 0.0
    if code:
        left = face.left if face.turned else face.left + size[0] - side
        draw_code(tag.id, side, ax, left, face.bottom + (size[1] - side) / 2, turned=face.turned)
    writer = Writer(ax, face, size)
    wide = size[0] - INNER - (side or INNER)
    room = (wide, size[1] - 2 * INNER)
    date_words = day_month(tag.pupated) if tag.pupated else "prepupa"
    widest = room[0] / width(date_words, 1.0, True)
    shown = replace(tag, word="") if code else tag  # beside a code there is no room for both: the id counts
    *sized, narrow = (
        (min(TAG_LARGEST, widest / LEADS, room[1] / MM_PER_PT / _height(r)), r) for r in arrangements(shown)
    )
    small, rows = max(sized, key=lambda s: min(s[0], TAG_GOOD))
    if tag.spot and narrow[0] >= TAG_GOOD and _width(rows[-1]) * small > room[0]:
        small, rows = narrow
    large = min((DATE if tag.pupated else LEADS) * small, widest)
    em = small * MM_PER_PT
    spare = room[1] - _height(rows) * em
    x, y = INNER + wide / 2, size[1] - INNER - spare / 2 - ASCENT * DATE * em
    writer.put(x, y, date_words, large, bold=True, ha="center", gid=f"date-{tag.id}")
    y -= (DATE_GAP + CAP) * em
    for row in rows:
        _write(row, small, room[0], writer, x, y)
        y -= STEP * em
    return ax


def _height(rows: Rows) -> float:
    """Height of an arrangement in sizes of its small rows: from the date's top to the last descender."""
    return ASCENT * DATE + DATE_GAP + CAP + STEP * (len(rows) - 1) + DESCENT


def _width(row: Row) -> float:
    """Width of a row at a size of 1 pt, mm."""
    space = _space() * (sum(map(bool, (row.kept, row.loose, row.whole))) - 1)
    return width(row.kept, 1.0, row.bold) + space + width(row.loose, 1.0) + width(row.whole, 1.0)


def _space() -> float:
    return width("n n", 1.0) - width("nn", 1.0)


def _write(row: Row, size: float, room: float, writer: Writer, x: float, y: float) -> None:
    """Write a row in its middle, smaller if it is too wide, and if that is not enough, shortened."""
    room += 1e-6  # what is made exactly as wide as the room fits it
    size = max(min(size, room / _width(row)), min(size, max(TAG_LEAST, SHRINK * size)))
    if row.whole:
        size = min(size, room / width(row.whole, 1.0))
        left = room - width(row.whole, size) - _space() * size
        kept = fit(row.kept, size, left, middle=True) if row.kept else ""
        writer.put(x, y, f"{kept} {row.whole}".strip(), size, ha="center")
        return
    space = _space() if row.kept and row.loose else 0.0
    kept = fit(row.kept, size, room, row.bold, middle=True)
    left_over = room - width(kept, size, row.bold) - space * size
    loose = fit(row.loose, size, left_over)
    if len(loose) < min(3, len(row.loose)) or width(loose, size) > left_over:
        loose = ""  # fewer than two of its letters would be left
    if not row.bold:
        words = (apart(loose), kept) if row.loose_first else (kept, apart(loose))
        writer.put(x, y, " ".join(w for w in words if w), size, ha="center")
        return
    if not loose:
        writer.put(x, y, kept, size, bold=row.bold, ha="center")
        return
    half = (room - left_over + width(loose, size)) / 2
    writer.put(x - half, y, kept, size, bold=True)
    writer.put(x + half, y, loose, size, ha="right")
