"""Paper and cards as a keeper writes them, in ``season.yaml`` and on the command line; sizes in mm."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import ceil, floor

from planner.season.reading.problems import shorten
from planner.season.reading.scalars import parse_number

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # upright
SHAPES = ("card", "fold", "wedge", "hole", "flag", "auto")  # of tags; auto: as each one's place needs it
LEAST_CARD = (20.0, 12.0)  # less cannot be read
HOW = "write width x height, such as 40x25 (mm), 7.5x12.5cm or 3x5in"

_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_UNIT = r"(mm|cm|in(?:ch(?:es)?)?\.?|\"|''|″|”)?"
_SIZE = re.compile(rf"([0-9.]+) ?{_UNIT} ?(?:x|×|\*|by) ?([0-9.]+) ?{_UNIT}")


@dataclass(frozen=True)
class CardSize:
    """Size of a card, mm; ``unit``: what it was written in, mm, cm or in. ``stated``: the unit was, too."""

    wide: float
    high: float
    unit: str = "mm"
    stated: bool = True

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.wide, self.high

    def __str__(self) -> str:
        """``3 × 5 in``."""
        return size_words(self.size, self.unit)

    @property
    def typed(self) -> str:
        """``3x5in``, as it may be written."""
        return typed(self.size, self.unit)


USUAL_CARD = CardSize(40.0, 25.0)


def size_words(size: tuple[float, float], unit: str, *, rounded: int = 0) -> str:
    """``40 × 25 mm``; ``rounded``: 1 up and -1 down, where it is a limit that must hold as it is told."""
    return " × ".join(_in(side, unit, rounded) for side in size) + f" {unit}"


def length_words(mm: float, unit: str, *, rounded: int = 0) -> str:
    """``12 mm``, ``0.47 in``."""
    return f"{_in(mm, unit, rounded)} {unit}"


def typed(size: tuple[float, float], unit: str, *, rounded: int = 0) -> str:
    """``40x25mm``."""
    return "x".join(_in(side, unit, rounded) for side in size) + unit


def _in(mm: float, unit: str, rounded: int) -> str:
    value = mm / _MM[unit]
    hundredths = 100 * value
    if rounded and unit != "mm":
        value = (ceil(hundredths - 1e-6) if rounded > 0 else floor(hundredths + 1e-6)) / 100
    return f"{value:.5g}" if unit == "mm" else f"{round(value, 2):g}"


def read_card(text: str) -> CardSize:
    """A card's size: ``40x25`` (mm), ``3 x 5 in``, ``3"x5"``, ``75x125mm``. Raises ValueError."""
    match = _SIZE.fullmatch(" ".join(text.lower().split()))
    wide, high = (parse_number(match[1]), parse_number(match[3])) if match else (None, None)
    units = {_unit(u) for u in (match[2], match[4]) if u} if match else set()
    if wide is None or high is None or len(units) > 1:
        raise ValueError(f"'{shorten(text)}' is not a size: {HOW}")
    unit = next(iter(units), "mm")
    return CardSize(wide * _MM[unit], high * _MM[unit], unit, stated=bool(units))


def meant_in_inches(card: CardSize, units: str) -> str:
    """What to write instead of a size without a unit that is too small in mm, not in the season's inches."""
    if (
        card.stated
        or units != "in"
        or _legible(card.size)
        or not _legible((card.wide * 25.4, card.high * 25.4))
    ):
        return ""
    sides = card.typed.removesuffix("mm")
    return f"{sides} mm is too small to read: write {sides}in"


def check_card(card: CardSize, units: str) -> None:
    """Refuse a card too small to be read; ``units``: the season's. Raises ValueError."""
    if told := meant_in_inches(card, units):
        raise ValueError(told)
    if not _legible(card.size):
        least = size_words(LEAST_CARD, card.unit, rounded=1)
        raise ValueError(f"{card} is too small to read: at least {least}")


def _legible(size: tuple[float, float]) -> bool:
    return size[0] >= LEAST_CARD[0] and size[1] >= LEAST_CARD[1]


def read_paper(text: str) -> str:
    """A size of paper as it is spelled here. Raises ValueError."""
    found = next((p for p in PAPERS if p.lower() == text.strip().lower()), None)
    if found is None:
        raise ValueError(f"'{shorten(text)}': allowed is {' or '.join(PAPERS)}")
    return found


def _unit(written: str) -> str:
    return written if written in ("mm", "cm") else "in"
