"""The move list: the steps in an order that works, each with its time and its predecessors."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from math import dist
from typing import Any, cast

import networkx as nx

from planner.emergence import Forecast
from planner.engine.model.instance import Node
from planner.planning.moves.parking import park
from planner.planning.moves.precedence import Bounds, Precedence, Step, Transfer, without_isolated
from planner.planning.moves.schedule import in_sequence, sessions
from planner.planning.problem.open_spots import exclusive_spots, open_marks
from planner.rack.spots import Spot, home_of, positions
from planner.season import Lid, Move, Season
from planner.season.reading.told_dates import part_of_day, since


@dataclass(frozen=True)
class MoveOrder:
    """The steps in their order; or none, and pupa → why there is no order as long as that one is moved."""

    moves: tuple[Move, ...] = ()
    stuck: Mapping[str, str] = field(default_factory=dict)


def moves_of(
    season: Season,
    where: Mapping[str, Spot],
    moved: Collection[str],
    now: Mapping[str, Forecast],
    on: datetime,
) -> MoveOrder:
    """The steps in an order a keeper can do with two hands: place by place as far as precedence allows.

    Parameters
    ----------
    where
        Where everybody hangs in the end, by id; spots on which two clips fit.
    moved
        Ids of those who leave where they are.
    on
        When the first step can be done.

    Notes
    -----
    Who wants a spot that another leaves comes after it, and so does who needs its clip's room. Where such
    precedence has a cycle one is parked on a spare spot: a real one, for a pupa is never laid down.
    """
    ids = sorted(moved)
    transfers = [_transfer(season, where[pupa], now[pupa], on) for pupa in ids]
    staying = [spot for pupa, spot in where.items() if pupa not in moved]
    precedence = Precedence(transfers, _crowds(season, _spots_of(transfers)))
    parked: dict[int, Node] = {}
    if precedence.deadlocks:
        spare = open_marks(season, positions(season), staying)
        precedence = Precedence(transfers, _crowds(season, [*_spots_of(transfers), *spare]))
        parked, deadlocks = park(precedence, spare, _detour(season, transfers), on)
        if deadlocks:
            told = (_no_room([ids[i] for i in deadlock]) for deadlock in deadlocks)
            return MoveOrder(stuck={pupa: why for deadlock in told for pupa, why in deadlock.items()})
    steps = precedence.steps(parked)
    if late := precedence.late(steps, parked, on):
        return MoveOrder(stuck=dict(_no_time(ids, transfers, bounds, on) for bounds in late.values()))
    return MoveOrder(_listed(season, now, ids, precedence, steps, parked, on))


def _transfer(season: Season, target: Spot, forecast: Forecast, on: datetime) -> Transfer:
    assert forecast.firm_from is not None  # else it would stay
    return Transfer(home_of(season, forecast.pupa), target, forecast.firm_from, forecast.last_move(on))


def _spots_of(transfers: Sequence[Transfer]) -> list[Spot]:
    return [cast(Spot, node) for transfer in transfers for node in (transfer.source, transfer.target)]


def _crowds(season: Season, spots: Collection[Spot]) -> dict[Node, set[Node]]:
    """Spot → those of the same line on which no clip fits beside it."""
    crowds: defaultdict[Node, set[Node]] = defaultdict(set)
    for group in exclusive_spots(season, dict.fromkeys(spots)):
        for spot in group:
            crowds[spot].update(other for other in group if other != spot)
    return dict(crowds)


def _detour(season: Season, transfers: Sequence[Transfer]) -> Any:
    """To be parked in the place one comes from or goes to, then with the least way there and on."""
    rank = {place.name: k for k, place in enumerate(season.places)}

    def detour(item: int, node: Node) -> Any:
        spot, source, target = (cast(Spot, n) for n in (node, transfers[item].source, transfers[item].target))
        return (
            spot.place not in (source.place, target.place),
            round(_apart(source, spot) + _apart(spot, target), 3),
            rank[spot.place],
            spot.x or 0.0,
            spot.tag,
        )

    return detour


def _apart(a: Spot, b: Spot) -> float:
    if a.at is None or b.at is None or a.frame != b.frame:
        return 1e6  # it is not known how both stand
    return dist(a.at, b.at)


def _listed(
    season: Season,
    now: Mapping[str, Forecast],
    ids: Sequence[str],
    precedence: Precedence,
    steps: nx.DiGraph[Step],
    parked: Mapping[int, Node],
    on: datetime,
) -> tuple[Move, ...]:
    """The steps as moves, numbered in their order."""
    rank = {place.name: k for k, place in enumerate(season.places)}

    def way(step: Step) -> tuple[Spot, Spot]:
        item, last = step
        transfer, at = precedence.transfers[item], parked.get(item)
        source, target = (
            (at, transfer.target) if last else (transfer.source, transfer.target if at is None else at)
        )
        return cast(Spot, source), cast(Spot, target)

    def place(step: Step) -> tuple[bool, int]:
        source = season.place[way(step)[0].place]
        # A lid to be cleared comes first: its tub is needed.
        return not (isinstance(source, Lid) and source.clear), rank[source.name]

    def key(step: Step) -> tuple[datetime, int, float]:
        due, target = now[ids[step[0]]].due, way(step)[1]
        return due.median if due else datetime.max, rank[target.place], target.x or 0.0

    windows = {step: precedence.window(bounds) for step, bounds in precedence.bounds(steps, parked).items()}
    order = in_sequence(steps, sessions(windows, on), place, key)
    number = {step: n for n, step in enumerate(order, start=1)}
    needed = nx.transitive_reduction(without_isolated(steps))
    moves = []
    for step in order:
        source, target = way(step)
        start, end = windows[step]
        moves.append(
            Move(
                step=number[step],
                pupa=ids[step[0]],
                from_place=source.place,
                from_spot=source.tag,
                to_place=target.place,
                to_spot=target.tag,
                not_before=start,
                not_after=end,
                after=tuple(sorted(number[p] for p in needed.pred.get(step, ()))),
            )
        )
    return tuple(moves)


def _no_room(deadlock: Sequence[str]) -> dict[str, str]:
    """Why nobody of a deadlock can be moved, by id."""
    others = {pupa: " and ".join(other for other in deadlock if other != pupa) for pupa in deadlock}
    why = "would change places with {}, and no spot is free to park one of them"
    return {pupa: why.format(names) for pupa, names in others.items()}


def _no_time(
    ids: Sequence[str], transfers: Sequence[Transfer], bounds: Bounds, on: datetime
) -> tuple[str, str]:
    """Who darkens too soon for its step, and why it would have to wait."""
    pupa, dark = ids[bounds.dark], f"{_dark(transfers[bounds.dark].not_after, on)}"
    if transfers[bounds.dark].not_after < on:
        return pupa, dark
    firm = since(transfers[bounds.firm].not_before)
    return pupa, f"{dark}, and would be tied to {ids[bounds.firm]}, which is firm only from {firm}"


def _dark(when: datetime, on: datetime) -> str:
    return "may be darkening" if when < on else f"may be darkening from the {part_of_day(when)} on"
