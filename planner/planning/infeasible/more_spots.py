"""More spots as a way out: how many a line or a board would need for a plan without clashes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from planner.emergence import Forecast
from planner.engine.model import budget
from planner.planning.infeasible.clash_free import InfeasibleSeason, first_possible
from planner.rack import spots
from planner.rack.sliding import KNOT, steps_on
from planner.season import Line, Place, Season
from planner.season.plan.reason_record import MoreSpots, NoWay, WayOut

EPS = 1e-9


def more_spots(infeasible: InfeasibleSeason, now: dict[str, Forecast]) -> Iterator[WayOut]:
    """The fewest more marks, columns of pins or centimetres that suffice, for each line and board.

    They are added at its right end: nothing that hangs is touched by that, and more never harms, so that the
    fewest are found by halving.
    """
    barren: list[str] = []
    seen: set[Place] = set()
    taken = {pupa.place for pupa in infeasible.season.pupae if pupa.present}
    taken |= {name for card in infeasible.season.dividers for name, _ in (card.a, card.b)}
    for place in infeasible.season.places:
        if infeasible.effort.clock.left <= 0:
            return
        if place.more is None or not _usable(infeasible.season, place):
            continue
        if place.name not in taken and not place.located:
            alike = replace(place, name="")
            if alike in seen:
                continue  # an empty place like one that was asked about: the answer is the same
            seen.add(alike)
        infeasible.effort.say(f"how many more spots on {place.name} would do")
        found, sure = _fewest(infeasible, now, place)
        if found is not None:
            yield replace(found, least=sure)
        elif sure:
            barren.append(place.name)
    if barren:
        yield NoWay(of="spots", why=f"up to {budget.MORE_SPOTS} on {' or '.join(barren)} alone")


def _fewest(
    infeasible: InfeasibleSeason, now: dict[str, Forecast], place: Place
) -> tuple[MoreSpots | None, bool]:
    if isinstance(place, Line) and place.slides:
        unit, most = place.to_nearest, len(now) * infeasible.season.wing_reach
        # One more step needs the far knot beyond it: so much first, then a step at a time.
        first = steps_on(place, infeasible.season).stop * unit + KNOT[infeasible.season.units] - place.length
        counts = [round(first + k * unit, 6) for k in range(math.ceil(min(most, budget.MORE_LENGTH) / unit))]
    else:
        counts = [float(n) for n in range(1, budget.MORE_SPOTS + 1)]
    count, sure = first_possible(
        counts, lambda n: infeasible.possible(_with(infeasible.season, place, n), now)
    )
    if count is None:
        return None, sure
    length, number = place.longer(count).extent[0], 0 if place.slides else int(count)
    more = round(length - place.extent[0], 6)
    way = MoreSpots(place=place.name, count=number, more=more, length=length)
    return way, sure


def _with(season: Season, place: Place, count: float) -> Season:
    after = place.longer(count)
    return replace(season, places=tuple(after if p is place else p for p in season.places))


def _usable(season: Season, place: Place) -> bool:
    return any(not mark.unusable for mark in spots(season)[place.name])
