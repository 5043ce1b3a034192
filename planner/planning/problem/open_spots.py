"""Open spots, and the sets of them that are too near to one another for two clips."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import dist

from planner.rack.spots import Spot
from planner.season import Line, Season

EPS = 1e-6  # cm


def open_marks(season: Season, marks: Mapping[str, Sequence[Spot]], taken: Sequence[Spot]) -> list[Spot]:
    """The usable spots nobody hangs on, and not too near for two clips to a pupa hung between marks.

    ``marks``: the positions of each place, as `planner.rack.spots.positions` finds them.
    """
    open_: list[Spot] = []
    on_line: dict[str, list[Spot]] = {}
    for spot in taken:
        on_line.setdefault(spot.place, []).append(spot)
    for name, on_it in marks.items():
        room = season.place[name].clip_room
        near = [s for s in on_line.get(name, ()) if s.x is not None]
        for mark in on_it:
            if not mark.unusable and not any(_closer(mark, other, room) for other in near):
                open_.append(mark)
    return open_


def exclusive_spots(season: Season, nodes: Iterable[Spot]) -> tuple[tuple[Spot, ...], ...]:
    """Sets of spots of one line of which only one can be taken: all within less than a clip's room.

    Every pair of spots too near lies in one of them. Marks are far enough apart; who hangs between them, and
    clips that slide, need this.
    """
    on_line: defaultdict[str, list[Spot]] = defaultdict(list)
    for spot in nodes:
        if isinstance(season.place[spot.place], Line):
            on_line[spot.place].append(spot)
    found: list[tuple[Spot, ...]] = []
    for name, spots in on_line.items():
        room = season.place[name].clip_room - EPS
        spots.sort(key=lambda s: s.x or 0.0)
        end = 0
        for i, spot in enumerate(spots):
            before = end
            while end < len(spots) and (spots[end].x or 0.0) - (spot.x or 0.0) < room:
                end += 1
            if end > before and end - i > 1:  # else it is part of the one before
                found.append(tuple(spots[i:end]))
    return tuple(found)


def _closer(a: Spot, b: Spot, room: float) -> bool:
    return dist((a.x or 0.0, a.y or 0.0), (b.x or 0.0, b.y or 0.0)) < room - EPS
