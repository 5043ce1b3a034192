"""Who hangs so near to a sick one that it may have caught what that had."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.rack.neighbours import neighbour_graph
from planner.rack.spots import home_of
from planner.season.pupae import Pupa
from planner.season.season import Season
from planner.words import few_ids, ids


def beside(season: Season, sick: Sequence[Pupa]) -> list[str]:
    """Those present who hang beside a sick one, or where its fluid may drip."""
    present = [p for p in season.pupae if p.present]
    homes = {p.id: home_of(season, p.id) for p in present}
    those = [home_of(season, p.id) for p in sick]
    graph = neighbour_graph(
        list(dict.fromkeys([*those, *homes.values()])), season.wing_reach, season.drop, ()
    )
    near = {spot for home in those for spot in (home, *graph[home])}
    names = {p.id for p in sick}
    return [p.id for p in present if homes[p.id] in near and p.id not in names]


def beside_note(season: Season) -> Iterator[str]:
    """Who hangs beside a sick one whose spot is not cleaned yet; nothing where nobody does."""
    sick = [p for those in season.closing.values() for p in those]
    if sick and (near := beside(season, sick)):
        yield f"Look at {few_ids(near)} daily: beside {ids([p.id for p in sick])} they may have caught it."
