"""Every point where a pupa can hang, with coordinates and whether this keeper can use it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import singledispatch

from planner.rack.sliding import meant, positions_on, side_by_side
from planner.season import Board, Lid, Line, Place, Season
from planner.season.places import parse_pin


@dataclass(frozen=True)
class Spot:
    """One exact point; two spots are the same when place and tag are.

    ``x``, ``y``: cm in the place's own frame (line: along it, y = 0; board: from the left edge, up from the
    bottom edge; lid: as seen from above), None on a lid when never measured. ``at``: left to right, before
    the wall, above the floor, cm, within the place's ``frame``: spots of different frames are far apart.
    ``unusable``: why nobody may be hung there, empty when it can be used.
    """

    place: str
    tag: str
    x: float | None = field(default=None, compare=False)
    y: float | None = field(default=None, compare=False)
    at: tuple[float, float, float] | None = field(default=None, compare=False)
    frame: str = field(default="", compare=False)
    unusable: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.place, self.tag)))  # asked for millions of times

    def __hash__(self) -> int:
        found: int = self.__dict__["_hash"]
        return found


def spots(season: Season) -> dict[str, list[Spot]]:
    """The marks and pins of every line and board, by place, left to right and top to bottom.

    A line on which clips slide has as many as clips fit side by side. Lids have no spots to offer.
    """
    return {place.name: _marks(place, season) for place in season.places}


def positions(season: Season) -> dict[str, list[Spot]]:
    """The same, but for clips that slide: all positions that a good layout may need, nearer than a clip."""
    found = spots(season)
    for place in season.places:
        if isinstance(place, Line) and place.clip_width is not None:
            along = positions_on(place, season)
            found[place.name] = [spot_on(place, season, x=x, y=0.0, tag=line_tag(x, season)) for x in along]
    return found


def spot_on(place: Place, season: Season, *, x: float | None, y: float | None, tag: str) -> Spot:
    """The spot at a point of a place's own frame (cm), whether or not it is a mark."""
    frame = "" if place.located else place.name
    at = None
    if x is not None and y is not None:
        left, front, up = place.left or 0.0, place.front or 0.0, 0.0
        if isinstance(place, Line):
            up = place.height
        elif isinstance(place, Board):
            up = place.bottom + y
        elif isinstance(place, Lid):
            front, up = front + place.length - y, place.height  # y runs towards the wall
        at = (left + x, front, up)
    why = _unusable(place, season, at) or _closed(place, season, x, tag)
    return Spot(place.name, tag, x, y, at, frame, why)


def _unusable(place: Place, season: Season, at: tuple[float, float, float] | None) -> str:
    if at is None or isinstance(place, Lid):
        return ""
    height, below = at[2], place.below if isinstance(place, Line | Board) else 0.0
    if height < season.lowest - 1e-6:
        return f"{height:g} cm high, below keeper reach ({season.lowest:g} cm)"
    if height > season.highest + 1e-6:
        return f"{height:g} cm high, above keeper reach ({season.highest:g} cm)"
    if height - below < season.clearance - 1e-6:
        return f"{height - below:g} cm free below, clearance is {season.clearance:g} cm"
    return ""


def _closed(place: Place, season: Season, x: float | None, tag: str) -> str:
    """Why nobody may be hung there before it is cleaned: the pin of a sick one, or within its clip."""
    for sick in season.closing.get(place.name, ()):
        if isinstance(place, Board):
            closed = sick.spot == tag
        elif isinstance(place, Line) and sick.spot is not None and x is not None:
            room = place.clip_width or (place.clips_every or 0.0) / 2
            closed = abs(x - float(sick.spot) * season.cm_per_unit) < room - 1e-6
        else:
            closed = False
        if closed:
            return f"closed until cleaned: {sick.id} was sick there"
    return ""


@singledispatch
def _marks(place: Place, season: Season) -> list[Spot]:  # noqa: ARG001
    return []


@_marks.register
def _(place: Line, season: Season) -> list[Spot]:
    if (step := place.clips_every) is None:
        along = side_by_side(place, season)
    else:
        count = math.ceil(place.length / step - 1e-9) - 1  # the ends are knots, not marks
        along = [round(step * k, 6) for k in range(1, count + 1)]
    return [spot_on(place, season, x=x, y=0.0, tag=line_tag(x, season)) for x in along]


@_marks.register
def _(place: Board, season: Season) -> list[Spot]:
    step, found = place.pins_every, []
    for row in range(1, int(place.height / step + 0.5 + 1e-9) + 1):
        for pin in range(1, int(place.width / step + 0.5 - _shift(place, row) + 1e-9) + 1):
            x, y = _pin(place, row, pin)
            if 0 < x < place.width - 1e-6 and y > 1e-6:
                found.append(spot_on(place, season, x=x, y=y, tag=f"r{row}p{pin}"))
    return found


def _shift(place: Board, row: int) -> float:
    return 0.5 if place.pattern == "staggered" and row % 2 == 0 else 0.0


def _pin(place: Board, row: int, pin: int) -> tuple[float, float]:
    """Where a pin is: from the left edge, and up from the bottom edge, cm."""
    step = place.pins_every
    x, y = (pin - 0.5 + _shift(place, row)) * step, place.height - (row - 0.5) * step
    return round(x, 6), round(y, 6)


def line_tag(x: float, season: Season) -> str:
    """How a position on a line is written: in the keeper's unit, shortest form."""
    return f"{round(x / season.cm_per_unit, 3):.10g}"


def home_of(season: Season, pupa_id: str) -> Spot:
    """Where a pupa hangs now, as recorded."""
    pupa = season.pupa[pupa_id]
    place = season.place[pupa.place]
    if isinstance(place, Line):
        x = meant(place, float(pupa.spot or 0) * season.cm_per_unit)
        return spot_on(place, season, x=x, y=0.0, tag=line_tag(x, season))
    if isinstance(place, Board):
        named = parse_pin(pupa.spot or "")
        if named is None:
            raise ValueError(f"{pupa.id}: '{pupa.spot}' is no pin of board {place.name}")
        x, y = _pin(place, *named)
        return spot_on(place, season, x=x, y=y, tag=f"r{named[0]}p{named[1]}")
    tag = f"?{pupa.id}"  # several may be unmeasured on one lid: each has a spot of its own
    if pupa.x is not None and pupa.y is not None:
        tag = f"{pupa.x / season.cm_per_unit:.4g},{pupa.y / season.cm_per_unit:.4g}"
    return spot_on(place, season, x=pupa.x, y=pupa.y, tag=tag)
