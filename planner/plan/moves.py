"""The move list: grouped by the lid they come from, each with when it may be touched."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime

from planner.emergence import Forecast
from planner.rack.spots import Spot, home_of
from planner.season import Lid, Move, Season


def moves_of(
    season: Season, where: Mapping[str, Spot], moved: Collection[str], now: Mapping[str, Forecast]
) -> tuple[Move, ...]:
    """Steps a keeper can do with two hands, lid by lid, in each from the first due to the last.

    Everybody moves from a lid, nobody to one, and only to a spot that is free: no step waits for another.
    """
    rank = {place.name: k for k, place in enumerate(season.places)}

    def key(pupa: str) -> tuple[bool, int, datetime, int, int]:
        source = season.place[season.pupa[pupa].place]
        spot, due = where[pupa], now[pupa].due
        # A lid to be cleared comes first: its tub is needed.
        cleared = isinstance(source, Lid) and source.clear
        when = due.median if due else datetime.max
        return not cleared, rank[source.name], when, rank[spot.place], int(spot.x or 0)

    steps = []
    for step, pupa in enumerate(sorted(moved, key=key), start=1):
        forecast, home = now[pupa], home_of(season, pupa)
        assert forecast.firm_from is not None  # else it would stay
        assert forecast.dark_from is not None
        steps.append(
            Move(
                step=step,
                pupa=pupa,
                from_place=home.place,
                from_spot=home.tag,
                to_place=where[pupa].place,
                to_spot=where[pupa].tag,
                not_before=forecast.firm_from,
                not_after=forecast.dark_from,
            )
        )
    return tuple(steps)
