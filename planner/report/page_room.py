"""The whole rack in one small picture: from the front, places nearer to the viewer lower and to the left.

cm, all to one scale; the way from the wall is drawn aslant and shortened. Places that stand nobody knows
where are set below the others. Lids are drawn only where it is known where they stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.report.page_tags import Rack, Strip
from planner.season.places import Board, Lid, Line, Place

SLANTS = (0.33, 0.26, 0.4, 0.2)  # how the way from the wall is drawn: that of these which sets lines apart
EDGE = 6.0
APART = 14.0  # between places that stand nobody knows where
NAME = 8.0  # height of a name
LETTER = 4.9


@dataclass(frozen=True)
class Outline:
    """A place: its corners, and where its name is written (None: no room)."""

    place: Place
    corners: tuple[tuple[float, float], ...]
    name: tuple[float, float, str] | None


@dataclass(frozen=True)
class Room:
    """``seen``: pupa and how many of its moves are done → its point; lids that are not drawn have none."""

    width: float
    height: float
    outlines: tuple[Outline, ...]
    seen: dict[tuple[int, int], tuple[float, float]]


def overview(laid: Rack) -> Room:
    """Draw the outlines of all places that can be set in one picture, and a point for each pupa."""
    strips = {s.place.name: s for s in laid.strips}
    places = [s.place for s in laid.strips]
    slant = max(SLANTS, key=lambda s: _apart(places, s))
    origin = _origins(places, slant)
    shapes = {name: _corners(strips[name].place, at, slant) for name, at in origin.items()}
    points = [c for corners in shapes.values() for c in corners] or [(0.0, 0.0)]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    top, low = min(y for _, y in points), max(y for _, y in points)
    dx, dy = EDGE - left, EDGE + NAME - top
    seen = {}
    for name, at in origin.items():
        for tag in strips[name].tags:
            x, y = _on(strips[name], tag.x, tag.y, at, slant)
            seen[tag.one.number, tag.after] = (round(x + dx, 1), round(y + dy, 1))
    width = right - left + 2 * EDGE
    moved = {
        name: tuple((round(x + dx, 1), round(y + dy, 1)) for x, y in corners)
        for name, corners in shapes.items()
    }
    taken = [edge for corners in moved.values() for edge in _edges(corners)]
    outlines = [
        Outline(strips[name].place, corners, _name(name, corners, width, taken))
        for name, corners in moved.items()
    ]
    return Room(round(width, 1), round(low - top + 2 * EDGE + NAME, 1), tuple(outlines), seen)


def _apart(places: Sequence[Place], slant: float) -> float:
    """The least distance of two lines' heights in the picture, cm; more than 8 is worth no more than 8."""
    lines = [p for p in places if isinstance(p, Line) and p.located]
    heights = sorted(slant * (p.front or 0.0) - p.height for p in lines)
    return min((min(8.0, b - a) for a, b in pairwise(heights)), default=8.0)


def _origins(places: Sequence[Place], slant: float) -> dict[str, tuple[float, float]]:
    """Where each place's own zero is: of a line and a board its left end or upper left corner."""
    found: dict[str, tuple[float, float]] = {}
    for place in places:
        if place.located:
            x, up, front = place.left or 0.0, 0.0, place.front or 0.0
            if isinstance(place, Line):
                up = place.height
            elif isinstance(place, Board):
                up = place.bottom + place.height
            elif isinstance(place, Lid):
                up, front = place.height, front + place.length
            found[place.name] = (x - slant * front, -up + slant * front)
    down = max((y for _, y in found.values()), default=0.0)
    for place in places:
        if place.located:
            down = max(down, *(y for _, y in _corners(place, found[place.name], slant)))
    for place in places:
        if not place.located and not isinstance(place, Lid):
            down += APART
            found[place.name] = (0.0, down)
            down = max(y for _, y in _corners(place, found[place.name], slant))
    return found


def _corners(place: Place, at: tuple[float, float], slant: float) -> tuple[tuple[float, float], ...]:
    x, y = at
    match place:
        case Board():
            return (x, y), (x + place.width, y), (x + place.width, y + place.height), (x, y + place.height)
        case Lid():  # its far edge is nearer to the wall: up and to the right
            far = slant * place.length
            return (x, y), (x + place.width, y), (x + place.width + far, y - far), (x + far, y - far)
        case Line():
            return (x, y), (x + place.length, y)
    return ((x, y),)


def _on(strip: Strip, px: float, py: float, at: tuple[float, float], slant: float) -> tuple[float, float]:
    """A point of a strip in the picture."""
    left, top, right, low = strip.frame
    x, y = at
    match strip.place:
        case Line(length=length):
            return x + (px - left) / max(right - left, 1e-9) * length, y
        case Board(width=width, height=height):
            return x + (px - left) / (right - left) * width, y + (py - top) / (low - top) * height
        case Lid(width=width, length=length):
            across = (px - left) / (right - left) * width
            deep = max(0.0, (low - py) / (low - top)) * length * slant
            return x + across + deep, y - deep
    return at


def _edges(corners: tuple[tuple[float, float], ...]) -> Iterator[tuple[float, float, float, float]]:
    """What of an outline a name would be struck through by: each edge that lies flat, as a thin box."""
    for (x1, y1), (x2, y2) in pairwise((*corners, corners[0])):
        if y1 == y2:
            yield min(x1, x2), y1 - 0.5, max(x1, x2), y1 + 0.5


def _name(
    name: str,
    corners: tuple[tuple[float, float], ...],
    width: float,
    taken: list[tuple[float, float, float, float]],
) -> tuple[float, float, str] | None:
    """Above an end or the middle, else below; not on another name or an edge, nor a long one at all."""
    wide = LETTER * len(name)
    if wide > width / 3:
        return None
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top, low = min(y for _, y in corners) - 1.5, max(y for _, y in corners) + NAME - 0.5
    for y in (top, low) if len(corners) == 2 else (top,):
        for x in (left, right - wide, (left + right - wide) / 2):
            box = (x, y - NAME + 1.5, x + wide, y + 0.5)
            if x >= 0 and not any(
                box[0] < o[2] and o[0] < box[2] and box[1] < o[3] and o[1] < box[3] for o in taken
            ):
                taken.append(box)
                return round(x, 1), round(y, 1), name
    return None
