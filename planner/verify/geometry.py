"""The verifier's own geometry: where each pupa of a plan hangs, and which of them are neighbours.

All lengths are in cm. It shares no code with what makes plans, so a mistake there cannot hide a breach here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, product
from math import floor, hypot

from planner.season.places import Lid, Line, Place
from planner.season.plan.plan_record import Hang, Plan
from planner.season.pupae import Pupa
from planner.season.season import Season
from planner.verify.places import SAME, TOUCH, Point, clip_room, point


@dataclass(frozen=True)
class Hung:
    """One entry of a plan, joined with the record of its pupa and the place.

    Attributes
    ----------
    at
        None on a lid where it was never measured, or where the tag names no point.
    stays
        Whether it hangs where it is recorded, even if the plan calls that a move.
    """

    hang: Hang
    pupa: Pupa
    place: Place
    at: Point | None
    stays: bool

    def __str__(self) -> str:
        return spot_name(self.place, self.hang.spot)


def spot_name(place: Place, tag: str | None) -> str:
    """A spot in words: ``line north at 36``.

    A lid is named without its tag, as the points on a lid carry none.
    """
    return f"{place.kind} {place.name}" + ("" if isinstance(place, Lid) or tag is None else f" at {tag}")


def in_the_way(at: Point, other: Point) -> bool:
    """Whether clips or pins at two points exclude one another.

    On a line they do when nearer than two clips may be, on a board when they are the same pin.
    """
    if at.place.name != other.place.name:
        return False
    if isinstance(at.place, Line):
        return abs(at.x - other.x) < clip_room(at.place) - TOUCH
    return abs(at.x - other.x) < SAME and abs(at.y - other.y) < SAME


def _same(a: Point | None, b: Point | None) -> bool:
    """Whether two points, taken to be of one place, are one but for rounding."""
    return a is not None and b is not None and hypot(a.x - b.x, a.y - b.y) <= SAME


def locate(season: Season, plan: Plan) -> list[Hung]:
    """The entries of a plan whose pupa and place the season knows, with their positions.

    On a line or board the tag gives the position, as the keeper goes by it. On a lid it is the position
    recorded: a pupa that forms there has no tag.
    """
    found = []
    for hang in plan.hangs:
        pupa, place = season.pupa.get(hang.pupa), season.place.get(hang.place)
        if pupa is None or place is None:
            continue
        here = pupa.place == hang.place
        if isinstance(place, Lid):
            x, y = (pupa.x, pupa.y) if here else (hang.x, hang.y)
            at = None if x is None or y is None else Point(place, x, y)
            stays = here
        else:
            at = point(place, hang.spot, season.cm_per_unit)
            was = point(place, pupa.spot, season.cm_per_unit) if here else None
            stays = here and (hang.spot == pupa.spot or _same(at, was))
            at = was if stays else at
        found.append(Hung(hang, pupa, place, at, stays))
    return found


def neighbours(
    hung: Sequence[Hung], wing_reach: float, drop: float
) -> Iterator[tuple[Hung, Hung, float | None]]:
    """All pairs of entries whose adults could touch, or drip on one another, with their distance.

    That is when they are closer than ``wing_reach``, or closer than it horizontally and no more than ``drop``
    apart in height. A pupa on a lid that was not measured is taken to neighbour everybody on that lid.
    Divider cards are not taken into account: see `parted`.

    Parameters
    ----------
    wing_reach, drop
        Cm.

    Yields
    ------
    tuple
        Two entries and their distance in cm, None where one of them was not measured.
    """
    # A pair within reach sideways and within max(reach, drop) in height lies in cells that touch.
    tall = max(wing_reach, drop) + 2 * TOUCH
    cells: defaultdict[tuple[str | None, int, int, int], list[tuple[Hung, tuple[float, float, float]]]]
    cells = defaultdict(list)
    for one in hung:
        if one.at is None or wing_reach <= 0:
            continue
        # All places whose stand is known share one frame; each other place has a frame of its own.
        frame = None if one.place.located else one.place.name
        x, depth, z = one.at.rack
        i, j, k = floor(x / wing_reach), floor(depth / wing_reach), floor(z / tall)
        for di, dj, dk in product((-1, 0, 1), repeat=3):
            for other, (x2, depth2, z2) in cells.get((frame, i + di, j + dj, k + dk), ()):
                apart = hypot(x - x2, depth - depth2, z - z2)
                if _touch((x, depth, z), (x2, depth2, z2), wing_reach, drop):
                    yield other, one, apart
        cells[frame, i, j, k].append((one, (x, depth, z)))

    lids: defaultdict[str, tuple[list[Hung], list[Hung]]] = defaultdict(lambda: ([], []))
    for one in hung:
        if isinstance(one.place, Lid):
            lids[one.place.name][one.at is None].append(one)
    for measured, unmeasured in lids.values():
        for a, b in chain(product(measured, unmeasured), combinations(unmeasured, 2)):
            yield a, b, None


def parted(season: Season, a: Point | None, b: Point | None) -> bool:
    """Whether a divider card stands between two points, so that they are no neighbours."""
    for card in season.dividers:
        ends = []
        for name, spot in (card.a, card.b):
            place = season.place.get(name)
            end = None if place is None else point(place, spot, season.cm_per_unit)
            ends.append(end)
        for one, other in (ends, ends[::-1]):
            if _at(a, one) and _at(b, other):
                return True
    return False


def _at(a: Point | None, end: Point | None) -> bool:
    """Whether a point is where one end of a card is."""
    return a is not None and end is not None and a.place.name == end.place.name and _same(a, end)


def beside(a: Point, b: Point, wing_reach: float, drop: float) -> bool:
    """Whether adults at two points could touch or drip on one another, as in `neighbours`.

    Parameters
    ----------
    wing_reach, drop
        Cm.
    """
    if a.place is not b.place and not (a.place.located and b.place.located):
        return False
    return _touch(a.rack, b.rack, wing_reach, drop)


def _touch(
    a: tuple[float, float, float], b: tuple[float, float, float], wing_reach: float, drop: float
) -> bool:
    """Whether adults at two points of one frame could touch, or what drips from one lands on the other.

    Exactly ``wing_reach`` apart they cannot touch; exactly ``drop`` below is still below.
    """
    sideways, apart = hypot(a[0] - b[0], a[1] - b[1]), hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])
    under = sideways < wing_reach - TOUCH and abs(a[2] - b[2]) <= drop + TOUCH
    return under or apart < wing_reach - TOUCH
