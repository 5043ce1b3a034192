"""The whole rack in one small picture: from the front, places nearer to the viewer lower and to the left.

cm, all to one scale; the way from the wall is drawn aslant and shortened. Places that stand nobody knows
where are set below the others. Lids are drawn only where it is known where they stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from planner.report.page.place import Box, Point
from planner.report.page.tags import Rack, Strip
from planner.season.places.place import XYZ, Place

SLANTS = (0.33, 0.26, 0.4, 0.2)  # how the way from the wall is drawn: that of these which sets lines apart
EDGE = 6.0
APART = 14.0  # between places that stand nobody knows where
READ = 13.0  # size of a name, px of a window
PHONE = (350.0, 280.0)  # px that the picture has on a phone: on any other there is more room for names
LETTER = 0.62  # width of a letter, in sizes
BESIDE = 0.35  # from a line's end to its name, likewise


@dataclass(frozen=True)
class Label:
    """A name from (x, y) on, or up to there; ``beside`` a line's end: y is the middle of its letters."""

    x: float
    y: float
    text: str
    anchor: str = "start"
    beside: bool = False


@dataclass(frozen=True)
class Outline:
    """A place: its corners, and where its name is written (None: no room)."""

    place: Place
    corners: tuple[Point, ...]
    name: Label | None


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
    shift = _shifts(places, slant)
    shapes = {name: _corners(strips[name].place, at, slant) for name, at in shift.items()}
    bare = _bounds([c for corners in shapes.values() for c in corners])
    left, top, right, low = bare
    for _ in range(2):  # names make the picture wider, and so larger in it
        size = READ / min(PHONE[0] / max(right - left, 1), PHONE[1] / max(low - top, 1))
        taken = [edge for corners in shapes.values() for edge in _edges(corners)]
        names = {
            name: _name(name, corners, size, bare[2] - bare[0], taken) for name, corners in shapes.items()
        }
        written = [corner for found in names.values() if found for corner in (found[1][:2], found[1][2:])]
        left, top, right, low = _bounds([bare[:2], bare[2:], *written])
    dx, dy = EDGE - left, EDGE - top

    def moved(points: Iterable[Point]) -> tuple[Point, ...]:
        return tuple((round(x + dx, 1), round(y + dy, 1)) for x, y in points)

    seen = {}
    for name, at in shift.items():
        for tag in strips[name].tags:
            point = _on(strips[name], tag.x, tag.y, at, slant)
            (seen[tag.one.number, tag.after],) = moved([point])
    outlines = []
    for name, corners in shapes.items():
        if found := names[name]:
            ((x, y),) = moved([(found[0].x, found[0].y)])
        label = replace(found[0], x=x, y=y) if found else None
        outlines.append(Outline(strips[name].place, moved(corners), label))
    width, height = right - left + 2 * EDGE, low - top + 2 * EDGE
    return Room(round(width, 1), round(height, 1), tuple(outlines), seen)


def _bounds(points: Sequence[Point]) -> tuple[float, float, float, float]:
    """Left, top, right and low end of some points."""
    xs, ys = [x for x, _ in points] or [0.0], [y for _, y in points] or [0.0]
    return min(xs), min(ys), max(xs), max(ys)


def _apart(places: Sequence[Place], slant: float) -> float:
    """The least distance of two lines' heights in the picture, cm; more than 8 is worth no more than 8."""
    lines = (p for p in places if p.located and not p.stacked)
    heights = sorted(_seen(line.stand(0.0, 0.0), slant)[1] for line in lines)
    return min((min(8.0, b - a) for a, b in pairwise(heights)), default=8.0)


def _seen(at: XYZ, slant: float) -> Point:
    """Where a point of the rack is in the picture, which goes down from the floor's edge at the wall."""
    across, front, up = at
    return across - slant * front, slant * front - up


def _shifts(places: Sequence[Place], slant: float) -> dict[str, Point]:
    """How far each place is moved in the picture: not at all where it is known how it stands."""
    found: dict[str, Point] = {p.name: (0.0, 0.0) for p in places if p.located}
    seen = (corner for p in places if p.located for corner in _corners(p, (0.0, 0.0), slant))
    down = max((y for _, y in seen), default=0.0)
    for place in places:
        if not place.located and place.offers_spots:
            left, top, _, low = _bounds(_corners(place, (0.0, 0.0), slant))
            found[place.name] = (-left, down + APART - top)
            down += APART + low - top
    return found


def _corners(place: Place, shift: Point, slant: float) -> tuple[Point, ...]:
    return tuple(_moved(_seen(place.stand(x, y), slant), shift) for x, y in place.outline)


def _on(strip: Strip, px: float, py: float, shift: Point, slant: float) -> Point:
    """A point of a strip in the picture."""
    left, top, right, low = strip.frame
    wide, high = strip.place.extent
    x = (px - left) / max(right - left, 1e-9) * wide
    y = max(0.0, (low - py) / max(low - top, 1e-9)) * high  # below a lid: who was not measured
    return _moved(_seen(strip.place.stand(x, y), slant), shift)


def _moved(point: Point, shift: Point) -> Point:
    return point[0] + shift[0], point[1] + shift[1]


def _edges(corners: tuple[Point, ...]) -> Iterator[Box]:
    """What of an outline a name would be struck through by: each edge that lies flat, as a thin box."""
    for (x1, y1), (x2, y2) in pairwise((*corners, corners[0])):
        if y1 == y2:
            yield min(x1, x2), y1 - 0.5, max(x1, x2), y1 + 0.5


def _name(
    name: str, corners: tuple[Point, ...], size: float, width: float, taken: list[Box]
) -> tuple[Label, Box] | None:
    """Where a name is written, and its room: beside a line's end, else above it or a place's edge.

    Never on another name or an edge, nor a long one at all.
    """
    wide = LETTER * size * len(name)
    if wide > width / 3:
        return None
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    above = min(y for _, y in corners) - 0.8 - 0.1 * size
    labels = [Label(x, above, name) for x in (left, right - wide, (left + right - wide) / 2)]
    if len(corners) == 2:
        y, gap = corners[0][1], BESIDE * size
        ends = Label(left - gap, y, name, "end", True), Label(right + gap, y, name, beside=True)
        labels = [*ends, *labels]
    for label in labels:
        x = label.x - wide if label.anchor == "end" else label.x
        y = label.y + size / 3 if label.beside else label.y
        box = (x, y - 0.8 * size, x + wide, y + 0.1 * size)
        if not any(box[0] < o[2] and o[0] < box[2] and box[1] < o[3] and o[1] < box[3] for o in taken):
            taken.append(box)
            return label, box
    return None
