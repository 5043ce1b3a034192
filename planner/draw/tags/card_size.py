"""Whether cards are large enough for what stands on them, and which size would be."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from planner.draw.tags.card import Card, code_side, face
from planner.draw.tags.codes import least_side
from planner.season.paper import LEAST_CARD, PAPERS, size_words, typed

Size = tuple[float, float]
GROWTH = 1.02  # from one size tried to the next
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
        raise TooSmallError(unread, size, code)
    return found


class TooSmallError(ValueError):
    """Cards on which id, date and spot cannot be read. ``least``: the size, mm, from which on all can."""

    def __init__(self, cards: Sequence[Card], size: Size, code: bool):
        self.cards, self.size, self.code = tuple(cards), size, code
        super().__init__(self.told("mm"))

    def told(self, unit: str) -> str:
        """What is wrong, and what to write instead."""
        first = self.cards[0].id
        who = first if len(self.cards) == 1 else f"{first} and {len(self.cards) - 1} more"
        code = " and its code" if self.code else ""
        least = grown(self.cards, self.size, self.code, unit, whole=False)
        needs = f": write --card {least}" if least else ""
        return f"a card of {size_words(self.size, unit)} is too small for the tag of {who}{code}{needs}"


def grown(cards: Sequence[Card], size: Size, code: bool, unit: str, *, whole: bool) -> str:
    """The smallest larger size on which all cards can be read, as typed; empty: none on any paper.

    Tried are wider, higher and larger ones of the same form. ``whole``: on which the cards lack nothing.
    """
    least = max((least_side(card.id) for card in cards), default=0.0) if code else 0.0
    first = max(size[0], LEAST_CARD[0], 2 * least), max(size[1], LEAST_CARD[1], least)
    found = [tried for form in FORMS if (tried := _grown(cards, first, form, code, unit, whole))]
    return typed(min(found, key=lambda tried: tried[0] * tried[1]), unit) if found else ""


def _grown(
    cards: Sequence[Card], first: Size, form: tuple[bool, bool], code: bool, unit: str, whole: bool
) -> Size | None:
    """The first size that will do, growing where ``form`` says."""
    step, factor = ROUND[unit], 1.0
    while True:
        wide, high = (side * (factor if grows else 1.0) for side, grows in zip(first, form, strict=True))
        tried = ceil(wide / step - 1e-9) * step, ceil(high / step - 1e-9) * step
        if max(tried) > LARGEST:
            return None
        side = code_side(cards, tried) if code else 0.0
        texts = (None if side is None else face(card, tried, side) for card in cards)
        if all(text and not (whole and text.lacks) for text in texts):
            return tried
        factor *= GROWTH
