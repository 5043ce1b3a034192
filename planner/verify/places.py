"""The verifier's own geometry of each kind of place: points, marks and what is wrong with a spot.

All lengths are in cm. In the rack frame X runs from the left edge to the right, depth from the wall to the
keeper, Z up from the floor. Only the fields of a place are read and none of its methods called, so a mistake
there cannot hide a breach here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from planner.season.places import Board, Lid, Line, Place, parse_pin
from planner.season.season import Season

# cm. Exactly wing_reach apart is no neighbour and exactly drop above is one: rounding must not decide it.
TOUCH = 1e-6
SAME = 0.005  # cm: finer than anybody hangs, and coarser than the rounding of a tag to thousandths of an inch
# Cm at either end of a line that its knot takes up; half an inch where the keeper measures in inches.
KNOT = {"cm": 1.0, "in": 1.27}
_NUMBER = re.compile(r"\+?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")
_FAR = 1e6  # cm: no line is so long


@dataclass(frozen=True)
class Point:
    """A point of a place.

    Attributes
    ----------
    x, y
        Cm in the place's own frame, as in `planner.season.plan.plan_record.Hang`.
    """

    place: Place
    x: float
    y: float

    @property
    def key(self) -> tuple[str, float, float]:
        """A key that two points share when they are the same spot but for rounding."""
        return self.place.name, round(self.x, 4), round(self.y, 4)

    @property
    def rack(self) -> tuple[float, float, float]:
        """X, depth and Z in the rack frame, cm.

        Where the stand of a place is unknown, X and depth are counted from its own left end and front.

        Raises
        ------
        TypeError
            The place is of a kind that the verifier does not know.
        """
        left, front = self.place.left or 0.0, self.place.front or 0.0
        match self.place:
            case Line(height=height):
                return left + self.x, front, height
            case Board(bottom=bottom):
                return left + self.x, front, bottom + self.y
            case Lid(length=length, height=height):  # y runs away from the keeper, towards the wall
                return left + self.x, front + length - self.y, height
        raise TypeError(f"{self.place.name}: the verifier knows no place of kind {self.place.kind}")


def point(place: Place, tag: str | None, cm_per_unit: float) -> Point | None:
    """The point of a line or board that a tag names, on it or beyond its ends; None where it names none.

    A tag is rounded, so a point within `SAME` of a mark, or of a step of sliding clips, is taken to be that.

    Parameters
    ----------
    tag
        Line: the distance from its left end in the season's unit. Board: row and pin, as ``r2p5``.
    cm_per_unit
        1 or 2.54.
    """
    tag = tag or ""
    match place:
        case Line(clips_every=marks, to_nearest=nearest):
            if not _NUMBER.fullmatch(tag) or (x := float(tag) * cm_per_unit) > _FAR:
                return None
            every = marks or nearest
            mark = round(x / every) * every
            return Point(place, mark if abs(mark - x) <= SAME else x, 0.0)
        case Board(pins_every=every, pattern=pattern, height=height):
            pin = parse_pin(tag)
            if pin is None:
                return None
            row, number = pin
            shift = 0.5 if pattern == "staggered" and row % 2 == 0 else 0.0
            return Point(place, (number - 0.5 + shift) * every, height - (row - 0.5) * every)
    return None


def marks(place: Place) -> Iterator[Point]:
    """All marks of a line, left to right, or all pins of a board, row by row from the top.

    Empty for a line on which clips slide and for a lid.
    """
    if isinstance(place, Line) and place.clips_every:
        n = 1
        while n * place.clips_every < place.length - TOUCH:
            yield Point(place, round(n * place.clips_every, 6), 0.0)
            n += 1
    if isinstance(place, Board):
        row = 1
        while (y := round(place.height - (row - 0.5) * place.pins_every, 6)) > TOUCH:
            first = 0.5 if place.pattern == "staggered" and row % 2 == 0 else 0.0
            pin = 1
            while (x := round((pin - 0.5 + first) * place.pins_every, 6)) < place.width - TOUCH:
                yield Point(place, x, y)
                pin += 1
            row += 1


def on_it(at: Point) -> bool:
    """Whether a point of a line or board is within its ends or edges; False on a lid."""
    match at.place:
        case Line(length=length):
            return TOUCH < at.x < length - TOUCH
        case Board(width=width):  # rows and pins count from the other two edges
            return TOUCH < at.x < width - TOUCH and at.y > TOUCH
    return False


def spot_fault(place: Place, tag: str, at: Point | None, stays: bool, season: Season) -> str:
    """What is wrong with a spot or its tag, as the end of a sentence; empty when nothing is.

    Parameters
    ----------
    tag
        As the plan has it.
    at
        The point that the tag names; None where it names none.
    stays
        Whether the pupa hangs there already. It may then be off the marks, as it hangs there all the same.
    """
    if isinstance(place, Line):
        if at is None:
            return (
                f"'{tag}' is no spot: allowed is a distance from its left end in {season.units}, such as 36"
            )
        if not on_it(at):
            allowed = f"allowed is more than 0 and less than {season.length(place.length)}"
            return f"{season.length(at.x)} is not on it: {allowed}"
        if stays:
            return ""
        every = place.clips_every
        if every and abs(at.x - round(at.x / every) * every) > TOUCH:
            return f"no clip is at {season.length(at.x)}: allowed are multiples of {season.length(every)}"
        if at_a_knot(place, at.x, season):
            knot = KNOT[season.units]
            ends = f"{season.length(knot)} to {season.length(place.length - knot)}"
            return f"{season.length(at.x)} is at a knot: allowed for clips that slide is {ends}"
        nearest = place.to_nearest
        if not every and abs(at.x - round(at.x / nearest) * nearest) > TOUCH:
            allowed = f"allowed are multiples of {season.length(nearest)}"
            return f"{season.length(at.x)} is too fine to clip by: {allowed}"
        if tag != (short := shortest(tag)):
            return f"spot '{tag}' is not in its shortest form: allowed is {short}"
    if isinstance(place, Board):
        if at is None:
            return f"'{tag}' is no pin: allowed are names such as r2p5"
        if not on_it(at):
            size = f"{season.length(place.width)} by {season.length(place.height)}"
            return f"pin {tag} would be at {xy(at.x, at.y, season)}: allowed is inside the board, {size}"
    known = isinstance(place, Line | Board | Lid)
    return "" if known else f"'{tag}' is no spot: the verifier knows no place of kind {place.kind}"


def at_a_knot(line: Line, x: float, season: Season) -> bool:
    """Whether a position (cm) is where the knot of a line with sliding clips is in the way."""
    knot = KNOT[season.units]
    return line.clip_width is not None and not knot - TOUCH <= x <= line.length - knot + TOUCH


def clip_room(place: Place) -> float:
    """The least distance of two clips, cm: a sliding clip's width, or half that of marks."""
    if isinstance(place, Line):
        return place.clip_width or (place.clips_every or 0.0) / 2
    return 2 * TOUCH


def xy(x: float | None, y: float | None, season: Season) -> str:
    """A position in words: ``x 12 cm, y 5 cm``, or ``no position``."""
    return "no position" if x is None or y is None else f"x {season.length(x)}, y {season.length(y)}"


def shortest(tag: str) -> str:
    """A decimal number in its shortest form, as it is printed on a tag: ``036.50`` is ``36.5``.

    Raises
    ------
    decimal.InvalidOperation
        ``tag`` is no number.
    """
    return f"{Decimal(tag).normalize():f}"
