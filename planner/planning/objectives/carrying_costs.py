"""The costs of carrying a pupa from its lid to a spot, and of hanging it out of its order of date."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable
from math import dist

from planner.engine.model.instance import Node
from planner.engine.secondary.carrying import Carrying
from planner.planning.problem.season_problem import SeasonProblem
from planner.rack.spots import Spot
from planner.season import Lid


def carrying_of(problem: SeasonProblem) -> Carrying:
    """The costs of carrying of a season, in tenths of a cm.

    Carried: from the middle of the lid to the spot where it is known how both stand, else nothing. Order:
    up to 1 cm for each pupa, by how far the spot's rank among the open ones of its place (left to right,
    top to bottom; where clips slide, its share of the line) is from the rank of its date, if it has one.
    """
    season, inst = problem.season, problem.instance
    rank: dict[Spot, float] = {}
    by_place: defaultdict[str, list[Spot]] = defaultdict(list)
    for spot in inst.open_nodes:
        assert isinstance(spot, Spot)
        by_place[spot.place].append(spot)
    for name, spots in by_place.items():
        place = season.place[name]
        if place.slides:
            rank |= {spot: (spot.x or 0.0) / place.extent[0] for spot in spots}
        else:
            rank |= {spot: k / max(1, len(spots) - 1) for k, spot in enumerate(spots)}
    dates = sorted({due for i, due in enumerate(inst.dues) if i not in inst.undated})
    place_in_time = {due: k / max(1, len(dates) - 1) for k, due in enumerate(dates)}

    def middle(name: str) -> tuple[float, float, float] | None:
        lid = season.place[name]
        if not isinstance(lid, Lid) or not lid.located:
            return None
        return (lid.left or 0) + lid.width / 2, (lid.front or 0) + lid.length / 2, lid.height

    middles = {place.name: middle(place.name) for place in season.places}

    def cost(start: Hashable, node: Node) -> int:
        assert isinstance(node, Spot)
        if not isinstance(start, tuple) or node.at is None or node.frame:
            return 0
        return 50 * round(dist(start, node.at) / 5)  # to 5 cm: nobody feels less

    def order(item: int, node: Node) -> int:
        assert isinstance(node, Spot)
        return 0 if item in inst.undated else round(10 * abs(place_in_time[inst.dues[item]] - rank[node]))

    # Lids of which it is not known where they stand are one source.
    return Carrying(lambda i: middles[season.pupa[problem.ids[i]].place], cost, order)
