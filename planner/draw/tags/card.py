"""What stands on one tag to cut out, and how it is made to fit the card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any

from planner.draw.paper.page import Page
from planner.draw.paper.pen import put
from planner.draw.paper.words import CAP
from planner.draw.tags.codes import draw_code, least_side, side_of
from planner.draw.tags.face_text import ASCENT, FAIR, STEP, FaceText, Part, Row, Wording, set_text
from planner.draw.tags.face_text import shortened as shortened_row
from planner.draw.tags.shapes import Face
from planner.season.direction import apart
from planner.season.reading.told_dates import day_month
from planner.style import MM_PER_PT
from planner.words import count, ids

INNER = 2.0  # mm kept free inside each edge
LEAD = (1.5, 2.4)  # size of the date in sizes of the rows: at least, and at best
GROUP_LEAD = (2.0, 3.6)  # the same of a card for several, read from farther away
SIDES = 5  # sizes of a code that are tried
FEW = 16  # cards by which the size of what all share is chosen
# What a face may lack; of the place a part of its name.
SPECIES, PLACE, DUE, IDS = "species", "place", "due", "ids"


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

    @property
    def pupae(self) -> tuple[str, ...]:
        """Whom it is for."""
        return (self.id,)

    @property
    def species(self) -> tuple[str, ...]:
        """Of what species."""
        return (self.word,) if self.word else ()

    @property
    def day(self) -> str:
        """``3 Jul``, ``prepupa``."""
        return _day(self.pupated)

    @property
    def lead(self) -> tuple[float, float]:
        """The date stands out; a word in its place does not."""
        return LEAD if self.pupated else (LEAD[0], LEAD[0])

    def levels(self) -> Sequence[Sequence[Wording]]:
        """All there is to say; without the species; with the place's name shortened; without the day due."""
        name, due = Part(self.id, bold=True), _row(f"due {day_month(self.due)}" if self.due else "due ?")
        low = Row((name, *due.parts))
        one, two = _where(self.place, self.spot)
        bare = [(Row((name,)), due, *one), (low, *one), (Row((name,)), due, *two)]
        full = bare
        if self.word:
            word = Part(self.word)
            full = [
                *((Row((name, word)), due, *where) for where in (one, two)),
                *((Row((name,)), Row((word,)), due, *where) for where in (one, two)),
            ]
        lacks = (SPECIES,) if self.word else ()
        return (
            [Wording(rows) for rows in full],
            [Wording(rows, lacks) for rows in bare],
            [Wording(rows, (*lacks, PLACE), stub=True) for rows in bare],
            [Wording((Row((name,)), *where), (*lacks, DUE)) for where in (one, two)],
            [Wording((Row((name,)), *one), (*lacks, DUE, PLACE), stub=True)],
        )


@dataclass(frozen=True, kw_only=True)
class Group:
    """What a card says of several that pupated on one day and hang together: of a lid, or of a stretch.

    ``dues``: the first and the last day due that is known, or none; ``species``: each once.
    """

    pupae: tuple[str, ...]
    species: tuple[str, ...]
    pupated: date | None
    dues: tuple[date, ...]
    place: str
    spot: str = ""
    kind: str = "lid"

    @property
    def id(self) -> str:
        """The first of them."""
        return self.pupae[0]

    @property
    def day(self) -> str:
        """``3 Jul``, ``prepupa``."""
        return _day(self.pupated)

    @property
    def lead(self) -> tuple[float, float]:
        """The date is read at arm's length."""
        return GROUP_LEAD if self.pupated else LEAD

    def levels(self) -> Sequence[Sequence[Wording]]:
        """All there is to say; without the species; with the place's name shortened; without ids."""
        many = Part(count(len(self.pupae), "pupa", "pupae"), bold=True)
        first, *later = dict.fromkeys(map(day_month, self.dues)) if self.dues else ["?"]
        due = _row(f"due {first} to {later[-1]}" if later else f"due {first}")
        names = Row(items=tuple(ids(self.pupae).split(", ")))
        one, two = _where(self.place, self.spot)
        bare = [(Row((many,)), names, due, *where) for where in (one, two)]
        few = [(Row((many,)), due, *where) for where in (one, two)]
        full = bare
        if self.species:
            word = Part(", ".join(self.species))
            full = [
                *((Row((many, word)), names, due, *where) for where in (one, two)),
                *((Row((many,)), Row((word,)), names, due, *where) for where in (one, two)),
            ]
        lacks = (SPECIES,) if self.species else ()
        return (
            [Wording(rows) for rows in full],
            [Wording(rows, lacks) for rows in bare],
            [Wording(rows, (*lacks, PLACE), stub=True) for rows in bare],
            [Wording(rows, (*lacks, IDS)) for rows in few],
            [Wording(rows, (*lacks, IDS, PLACE), stub=True) for rows in few],
        )


Card = Tag | Group


def without_species(cards: Sequence[Card]) -> list[Card]:
    """The cards without the species where all are of one: a word on some only puzzles. Else as they are."""
    if len({name for card in cards for name in card.species}) > 1:
        return list(cards)
    return [replace(c, word="") if isinstance(c, Tag) else replace(c, species=()) for c in cards]


def _day(pupated: date | None) -> str:
    return day_month(pupated) if pupated else "prepupa"


def _row(text: str) -> Row:
    return Row((Part(text),))


def _where(place: str, spot: str) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """Place and spot in one row, and in two."""
    name = Part(place, short=True)
    if not spot:
        return (Row((name,)),), (Row((name,)),)
    return (Row((name, Part(spot))),), (Row((name,)), _row(spot))


@lru_cache(maxsize=4096)
def face(card: Card, size: tuple[float, float], side: float = 0.0) -> FaceText | None:
    """The text of a card of a size beside a code of a ``side``, mm; None: it cannot be read.

    The species is left out only where all of it would be smaller than fair, the rest only where it would not
    fit at all.
    """
    room = (size[0] - INNER - (side or INNER), size[1] - 2 * INNER)
    best: FaceText | None = None
    for level in card.levels():
        if best is not None and (best.least >= FAIR or any({*w.lacks} - {SPECIES} for w in level)):
            break
        found = set_text(card.day, level, room, card.lead)
        if found and (best is None or found.least > best.least):
            best = found
    return best


def fullest(cards: Sequence[Card]) -> list[Card]:
    """A few cards, those that say most: what they have room for, the others mostly have too."""
    return sorted(cards, key=lambda c: -len(f"{c.pupae}{c.species}{c.place}{c.spot}"))[:FEW]


def code_side(cards: Sequence[Card], size: tuple[float, float]) -> float | None:
    """Side of the codes on a sheet of cards, mm: as large as a face takes, unless the text needs the room.

    None: too small for a phone to read.
    """
    most, least = side_of(size), max(least_side(card.id) for card in cards)
    if most < least:
        return None
    cards = fullest(cards)
    best, lacks, smallest = most, len(cards) + 1, 0.0
    for k in range(SIDES):
        side = most - (most - least) * k / (SIDES - 1)
        texts = [face(card, size, side) for card in cards]
        short = sum(text is None or bool({*text.lacks} - {SPECIES}) for text in texts)
        row = min((min(text.least, FAIR) for text in texts if text), default=0.0)
        if (short, -row) < (lacks, -smallest - 0.1):
            best, lacks, smallest = side, short, row
        if not lacks and smallest >= FAIR:
            break
    return best


@dataclass(frozen=True)
class Writer:
    """Writes on a face in its own frame, mm from its lower left corner, whichever way up it is."""

    page: Page
    face: Face
    size: tuple[float, float]

    def put(self, x: float, y: float, text: str, size: float, **more: Any) -> None:
        """Set a text as `planner.draw.paper.pen.put` does."""
        if self.face.turned:
            x, y = self.size[0] - x, self.size[1] - y
        put(self.page, self.face.left + x, self.face.bottom + y, text, size, turned=self.face.turned, **more)


def draw_card(card: Card, size: tuple[float, float], page: Page, on: Face, *, side: float = 0.0) -> Page:
    """Write one card on a face of a size, mm on paper; nothing leaves it.

    ``side``: of a QR code of the id at its right; 0: none. Raises ValueError where the text cannot be read.
    """
    text = face(card, size, side)
    if text is None:
        raise ValueError(f"{size[0]:g} × {size[1]:g} mm is too small for {card.id}")
    if side:
        left = on.left if on.turned else on.left + size[0] - side
        draw_code(card.id, side, page, left, on.bottom + (size[1] - side) / 2, turned=on.turned)
    writer = Writer(page, on, size)
    wide = size[0] - INNER - (side or INNER)
    em = text.size * MM_PER_PT
    x, y = INNER + wide / 2, (size[1] + text.height) / 2 - ASCENT * text.date_size * MM_PER_PT
    writer.put(x, y, text.date, text.date_size, bold=True, ha="center", gid=f"date-{card.id}")
    y -= text.gap + CAP * em
    for row, row_size in text.rows:
        _write(shortened_row(row, row_size, wide), row_size, writer, x, y)
        y -= STEP * em
    return page


def _write(row: Row, size: float, writer: Writer, x: float, y: float) -> None:
    """Write a row in its middle."""
    if not any(p.bold for p in row.parts):
        writer.put(x, y, " ".join(apart(p.text) for p in row.parts if p.text), size, ha="center")
        return
    x -= row.width(stub=False) * size / 2
    for part in row.parts:
        gap = "" if part is row.parts[-1] else " "  # for who searches the file: two words stay two
        writer.put(x, y, part.text + gap, size, bold=part.bold)
        x += Row((part, Part(""))).width(stub=False) * size
