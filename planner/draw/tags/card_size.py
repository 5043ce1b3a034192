"""Whether cards are large enough for what stands on them, and which size would be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from planner.draw.tags.card import Card, code_side, face, fullest
from planner.draw.tags.codes import least_side
from planner.season.paper import LEAST_CARD, PAPERS, size_words, typed

Size = tuple[float, float]
FORMS = ((True, False), (False, True), (True, True))  # whether width and height grow
LARGEST = max(max(size) for size in PAPERS.values())  # mm
ROUND = {"mm": 1.0, "cm": 1.0, "in": 2.54}  # mm: to what sizes proposed are rounded up


def lacking(cards: Sequence[Card], size: Size, code: bool) -> dict[str, list[str]]:
    """What there is no room for, each with the ids of the cards that lack it.

    Raises ValueError where a card cannot be read at all, saying from which size on all can.
    """
    unread, found = [], dict[str, list[str]]()
    side = code_side(cards, size) if code else 0.0
    for card in cards:
        text = None if side is None else face(card, size, side)
        if text is None:
            unread.append(card)
        for lack in text.lacks if text else ():
            found.setdefault(lack, []).append(card.id)
    if unread:
        raise TooSmallError([card.id for card in unread], cards, size, code)
    return found


class TooSmallError(ValueError):
    """A sheet of ``cards`` on some of which, ``unread``, id, date and spot would be too small to read."""

    def __init__(self, unread: Sequence[str], cards: Sequence[Card], size: Size, code: bool):
        self.unread, self.cards, self.size, self.code = tuple(unread), tuple(cards), size, code
        super().__init__(self.told("mm"))

    def told(self, unit: str) -> str:
        """What is wrong, and what to write instead; sizes in mm, cm or in."""
        who = " and ".join([self.unread[0], *([f"{len(self.unread) - 1} more"] if self.unread[1:] else [])])
        code = " with its code" if self.code else ""
        least = grown(self.cards, self.size, self.code, unit, whole=False)
        needs = f": write --card {least}" if least else ""
        return f"a card of {size_words(self.size, unit)} is too small for the tag of {who}{code}{needs}"


def grown(cards: Sequence[Card], size: Size, code: bool, unit: str, *, whole: bool) -> str:
    """The smallest larger size on which all cards can be read, as typed; empty: none on any paper.

    Tried are wider, higher and larger ones of the same form. ``whole``: on which the cards lack nothing.
    """
    least = max((least_side(card.id) for card in cards), default=0.0) if code else 0.0
    first = max(size[0], LEAST_CARD[0], 2 * least), max(size[1], LEAST_CARD[1], least)
    found = []
    for form in FORMS:
        for tried in _larger(first, form, ROUND[unit]):
            if all(_will_do(some, tried, code, whole) for some in (fullest(cards), cards)):
                found.append(tried)
                break
    return typed(min(found, key=lambda tried: tried[0] * tried[1]), unit) if found else ""


def _larger(first: Size, form: tuple[bool, bool], step: float) -> Iterator[Size]:
    """Sizes from one on, growing where ``form`` says, in whole steps of mm."""
    for k in range(int(LARGEST / step)):
        factor = 1 + k * step / max(side for side, grows in zip(first, form, strict=True) if grows)
        wide, high = (side * (factor if grows else 1.0) for side, grows in zip(first, form, strict=True))
        yield ceil(wide / step - 1e-9) * step, ceil(high / step - 1e-9) * step


def _will_do(cards: Sequence[Card], size: Size, code: bool, whole: bool) -> bool:
    side = code_side(cards, size) if code else 0.0
    texts = (None if side is None else face(card, size, side) for card in cards)
    return all(text and not (whole and text.lacks) for text in texts)
