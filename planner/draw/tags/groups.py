"""Cards for several pupae: of each day on a lid, and of those of one day side by side on a line or board."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import groupby

from planner.draw.data import spot_words
from planner.draw.tags.card import Group
from planner.season.places import Place
from planner.season.plan.plan_record import Hang
from planner.season.season import Season
from planner.words import natural


def groups_of(season: Season, hangs: Sequence[Hang]) -> list[Group]:
    """One card for each day of a lid, and for each stretch of a line or board; in the season's order.

    A stretch is pupae of one day with none of another between them: along a line, or in a row of a board.
    """
    found = []
    for place in season.places:
        here = [h for h in hangs if h.place == place.name]
        for together in _stretches(season, here) if place.offers_spots else _days(season, here):
            found.append(_group(season, place, together))
    return found


def _days(season: Season, hangs: Sequence[Hang]) -> Iterator[list[Hang]]:
    """Those of each day, the earliest first; at last those that have none."""
    for day in sorted({_pupated(season, h) for h in hangs}, key=lambda d: d or date.max):
        yield sorted((h for h in hangs if _pupated(season, h) == day), key=lambda h: natural(h.pupa))


def _stretches(season: Season, hangs: Sequence[Hang]) -> Iterator[list[Hang]]:
    """From left to right, rows of a board from the top."""
    ordered = sorted(hangs, key=lambda h: (-(h.y or 0.0), h.x or 0.0, h.pupa))
    for _, run in groupby(ordered, key=lambda h: (round(h.y or 0.0, 1), _pupated(season, h))):
        yield list(run)


def _pupated(season: Season, hang: Hang) -> date | None:
    pupated = season.pupa[hang.pupa].pupated
    return pupated.day if pupated else None


def _group(season: Season, place: Place, hangs: Sequence[Hang]) -> Group:
    spots = [spot_words(place, h.spot, season.units) for h in (hangs[0], hangs[-1])]
    dues = sorted(h.due for h in hangs if h.due)
    return Group(
        pupae=tuple(h.pupa for h in hangs),
        species=tuple(dict.fromkeys(season.pupa[h.pupa].species for h in hangs)),
        pupated=_pupated(season, hangs[0]),
        dues=(dues[0], dues[-1]) if dues else (),
        place=place.name,
        spot=" to ".join(dict.fromkeys(filter(None, spots))),
        kind=place.kind,
    )
