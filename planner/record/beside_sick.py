"""Who hangs so near to a sick one that it may have caught what that had."""

from __future__ import annotations

from collections.abc import Sequence

from planner.rack.neighbours import neighbour_graph
from planner.rack.spots import home_of
from planner.season.pupae import Pupa
from planner.season.season import Season


def beside(season: Season, sick: Sequence[Pupa]) -> list[str]:
    """Those present who hang beside a sick one, or where its fluid may drip."""
    present = [p for p in season.pupae if p.present]
    homes = {p.id: home_of(season, p.id) for p in present}
    graph = neighbour_graph(list(dict.fromkeys(homes.values())), season.wing_reach, season.drop, ())
    near = {spot for p in sick for spot in graph[homes[p.id]]} if sick else set()
    names = {p.id for p in sick}
    return [p.id for p in present if homes[p.id] in near and p.id not in names]
