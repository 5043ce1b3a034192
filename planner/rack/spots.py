"""The spots of a rack: each point where a pupa can hang, and whether the keeper can use it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from planner.rack.sliding import positions_on, side_by_side
from planner.season import Line, Place, Season


@dataclass(frozen=True)
class Spot:
    """A point where a pupa can hang. Two spots are equal when their place and tag are.

    Attributes
    ----------
    place
        Name of the line, board or lid.
    tag
        What is printed on the spot's tag: on a line the distance from its left end in the season's unit
        (``36.5``), on a board row and pin (``r2p5``).
    x, y
        Cm in the place's own frame. Line: x along it, y 0. Board: from the left edge, up from the lower edge.
        Lid: as seen from above, None when never measured.
    at
        From the rack's left edge, before the wall, above the floor; cm, within ``frame``. None where x and y
        are.
    frame
        Empty for all places whose stand is known; else the place's name. Spots of different frames are taken
        to be far apart.
    unusable
        Why nobody may be hung there; empty when the spot can be used.
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
        return self._hash  # type: ignore[attr-defined, no-any-return]


def spots(season: Season) -> dict[str, list[Spot]]:
    """The marks and pins of every line and board by place, left to right and top to bottom.

    A line on which clips slide has as many spots as clips fit side by side. A lid has an empty list, as
    nobody is hung there. Spots that cannot be used are included, with the reason.
    """
    return {place.name: _marks(place, season) for place in season.places}


def positions(season: Season) -> dict[str, list[Spot]]:
    """The candidate spots of every line and board by place, as a planner needs them.

    These are `spots`, but on a line on which clips slide `positions_on`: candidates may be nearer to one
    another than a clip is wide, so not all can be taken at once.
    """
    found = spots(season)
    for place in season.places:
        if isinstance(place, Line) and place.slides:
            found[place.name] = _along(place, season, positions_on(place, season))
    return found


def spots_between(line: Line, season: Season, hung: Iterable[float]) -> list[Spot]:
    """The spots of as many clips as fit on a line on which they slide between those that hang (x in cm)."""
    return _along(line, season, side_by_side(line, season, hung))


def _marks(place: Place, season: Season) -> list[Spot]:
    if isinstance(place, Line) and place.slides:
        return spots_between(place, season, ())
    return [spot_on(place, season, x=x, y=y, tag=tag) for tag, x, y in place.marks(season.cm_per_unit)]


def _along(line: Line, season: Season, at: Sequence[float]) -> list[Spot]:
    return [spot_on(line, season, x=x, y=0.0, tag=line.tag(x, season.cm_per_unit)) for x in at]


def spot_on(place: Place, season: Season, *, x: float | None, y: float | None, tag: str) -> Spot:
    """The spot at a point of a place, whether or not it is a mark.

    Parameters
    ----------
    x, y
        Cm in the place's own frame; None when never measured.
    tag
        What is, or would be, printed on its tag.
    """
    frame = "" if place.located else place.name
    if x is None or y is None:
        return Spot(place.name, tag, x, y, None, frame)
    at = place.stand(x, y)
    why = (_unusable(place, season, at) or _closed(place, season, (x, y))) if place.offers_spots else ""
    return Spot(place.name, tag, x, y, at, frame, why)


def _unusable(place: Place, season: Season, at: tuple[float, float, float]) -> str:
    """Why the keeper cannot use a point (X, depth, Z in cm), by its height; empty when it can be used."""
    height, below = at[2], place.below
    if height < season.lowest - 1e-6:
        return f"{season.length(height)} high, below keeper reach ({season.length(season.lowest)})"
    if height > season.highest + 1e-6:
        return f"{season.length(height)} high, above keeper reach ({season.length(season.highest)})"
    if height - below < season.clearance - 1e-6:
        return f"{season.length(height - below)} free below, clearance is {season.length(season.clearance)}"
    return ""


def _closed(place: Place, season: Season, at: tuple[float, float]) -> str:
    """Why a point (x, y in cm) is closed until it is cleaned, or empty.

    It is closed at the pin of a sick pupa, or nearer to its clip than two clips may be.
    """
    for sick in season.closing.get(place.name, ()):
        shut = place.point(sick.spot or "", season.cm_per_unit)
        if shut is not None and math.dist(at, shut) < place.clip_room - 1e-6:
            return f"closed until cleaned: {sick.id} was sick there"
    return ""


def home_of(season: Season, pupa_id: str) -> Spot:
    """The spot where a pupa hangs, or hung last, by the record.

    Raises
    ------
    KeyError
        The season has no pupa of that id.
    """
    pupa = season.pupa[pupa_id]
    place = season.place[pupa.place]
    tag, x, y = place.recorded(pupa, season.cm_per_unit)
    return spot_on(place, season, x=x, y=y, tag=tag)
