"""A place's heading: its name, what it is, where it hangs and how full it is."""

from __future__ import annotations

from collections.abc import Sequence

from planner.draw.data import PlacePicture, Sheet
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put
from planner.draw.paper.words import fit, width, wrap
from planner.season.direction import apart
from planner.style import BODY, LARGE, QUIET
from planner.words import count

NAME_HEIGHT = 8.0  # mm of a place's heading in one row
ROW = 4.4  # mm, of each row of words below it


def describe(picture: PlacePicture, sheet: Sheet) -> str:
    """Say what kind of place it is, where it hangs and how full it is."""
    place, taken = picture.place, len(picture.hung)
    unused = sum(not m.usable for m in picture.free)
    full = f"{taken} of {count(len(picture.marks), 'spot')} taken"
    if place.slides:
        full = "nobody hangs here" if sheet.folds(picture) else f"{count(taken, 'hangs', 'hang')} here"
        full += f", {place.clips_words(sheet)}"
    elif sheet.folds(picture) and picture.marks and not unused:
        full = f"all {count(len(picture.marks), 'spot')} free"
    words = place.words(sheet)
    if picture.kept:
        full += f", {len(picture.kept)} kept for those to come"
    if unused and place.slides:
        part = "a part of it " if any(m.usable for m in picture.marks) else ""  # where a sick one hung
        return f"{words}   ·   {full}   ·   {part}not used"
    return f"{words}   ·   {full}" + (f"   ·   {unused} not used" if unused else "")


def name_height(name: str, words: str, room: float) -> float:
    """Height of a heading, mm: the words stand beside the name, or below it where they find no room there."""
    return NAME_HEIGHT + ROW * len(_below(name, words, room))


def draw_name(name: str, words: str, room: float, page: Page, left: float, top: float) -> Page:
    """Write a place's name, shortened where it must be, and the words about it."""
    below = _below(name, words, room)
    name = fit(name, LARGE, room, True)
    put(page, left, top - 5.6, name, LARGE, bold=True)
    if not below:
        put(page, left + width(name, LARGE, True) + 4, top - 5.6, words, BODY)
    for i, row in enumerate(below, start=1):
        put(page, left, top - 5.6 - i * ROW, row, BODY)
    return page


def _below(name: str, words: str, room: float) -> list[str]:
    """The words about a place in rows, where they do not fit beside its name."""
    beside = width(name, LARGE, True) + 4 + width(words, BODY) <= room
    return [] if beside else wrap(words, BODY, room)


def draw_part(name: str, words: str, room: float, page: Page, left: float, top: float) -> Page:
    """Write which part of a place follows. 4.5 mm high."""
    text = f"{apart(fit(name, BODY, room / 3))}: {words}"
    put(page, left, top - 3.2, fit(text, BODY, room), BODY, colour=QUIET)
    return page


def shortened(names: Sequence[str], room: float) -> list[str]:
    """List names too long for their headings: to be given whole at the foot."""
    return [name for name in names if width(name, LARGE, True) > room]
