"""A place's heading: its name, what it is, where it hangs and how full it is."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes

from planner.draw.data import PlacePicture, Sheet
from planner.draw.paper.pen import put
from planner.draw.paper.words import fit, width
from planner.season.direction import apart
from planner.style import BODY, LARGE, QUIET
from planner.words import count


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


def draw_name(name: str, words: str, room: float, ax: Axes, left: float, top: float) -> Axes:
    """Write a place's name, shortened where it must be, and the words about it. 8 mm high."""
    name = fit(name, LARGE, _name_room(words, room), True)
    put(ax, left, top - 5.6, name, LARGE, bold=True)
    put(ax, left + width(name, LARGE, True) + 4, top - 5.6, words, BODY)
    return ax


def draw_part(name: str, words: str, room: float, ax: Axes, left: float, top: float) -> Axes:
    """Write which part of a place follows. 4.5 mm high."""
    text = f"{apart(fit(name, BODY, room / 3))}: {words}"
    put(ax, left, top - 3.2, fit(text, BODY, room), BODY, colour=QUIET)
    return ax


def _name_room(words: str, room: float) -> float:
    return room - width(words, BODY) - 6


def shortened(headings: Sequence[tuple[str, str]], room: float) -> list[str]:
    """List names that their headings, of a name and words, have to shorten: to be given whole at the foot."""
    return [name for name, words in headings if width(name, LARGE, True) > _name_room(words, room)]
