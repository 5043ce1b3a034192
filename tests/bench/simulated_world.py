"""The world of the simulated season: a rack, arrivals day by day, and when each pupa truly emerges.

Nothing here depends on who hangs what where, so that every way of hanging meets the same season.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from planner.emergence import shipped
from planner.rack.neighbours import neighbour_graph
from planner.rack.spots import Spot, positions
from planner.season import Board, Lid, Line, Place, Season

FIRST = date(2027, 6, 1)
DAYS = 60  # on which pupae may pupate
WARM = 15  # before that the rack fills; the load is measured from here to the last day
EVENING = 18  # hour at which the keeper hangs: today's adults have flown, their spots are free
CONSTANT = 23.0
MONARCH = shipped()["monarch"]
FIRM = 1 + math.ceil(MONARCH.firm_after / 24)  # evenings from pupation to hanging, the hour being unknown
SIZE = 50  # pupae that each rack takes
WEEK = (1.3, 1.1, 0.9, 0.8, 0.8, 1.0, 1.1)  # how many pupate, from Monday on: on Sundays tubs are filled


@dataclass(frozen=True)
class Rack:
    """Spots by number, and each one's neighbours.

    ``size``: how many it takes; where clips slide there are more spots than that. ``close``: those too near
    for hands, at half a wing reach. ``rows``: the spots of each line, or row of a board.
    """

    name: str
    places: tuple[Place, ...]
    spots: tuple[Spot, ...]
    size: int
    near: tuple[tuple[int, ...], ...]
    close: tuple[tuple[int, ...], ...]
    rows: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Arrival:
    """One pupa. Days are counted from FIRST; ``emerged`` with its hour. It hangs from the evening ``hung``
    until the evening ``gone`` (not included): its spot can be given away then.
    """

    id: str
    pupated: int
    hung: int
    emerged: float

    @property
    def gone(self) -> int:
        return math.floor(self.emerged)


@cache
def rack(name: str) -> Rack:
    """Room for 50: two lines with a clip every 4 cm (4 neighbours each) or 8 cm (2 neighbours), two with
    clips 4 cm wide that slide, or a board with a pin every 10 cm, rows staggered (at most 6 neighbours).
    """
    places: tuple[Place, ...] = {
        "lines": (
            Line(name="north", length=104, height=150, clips_every=4),
            Line(name="south", length=104, height=150, clips_every=4),
        ),
        "wide lines": (
            Line(name="north", length=208, height=150, clips_every=8),
            Line(name="south", length=208, height=150, clips_every=8),
        ),
        "yarn": (
            Line(name="north", length=100, height=150, clip_width=4),
            Line(name="south", length=100, height=150, clip_width=4),
        ),
        "board": (
            Board(name="cork", width=60, height=90, bottom=60, pins_every=10, pattern="staggered"),
        ),
    }[name]  # fmt: skip
    season = Season(folder=Path(name), name=name, places=places)
    found = [spot for those in positions(season).values() for spot in those if not spot.unusable]
    graph = neighbour_graph(found, season.wing_reach, season.drop)
    close = neighbour_graph(found, season.wing_reach / 2, 0.0)
    number = {spot: i for i, spot in enumerate(found)}
    rows: dict[tuple[str, float], list[int]] = {}
    for spot, i in number.items():
        rows.setdefault((spot.place, spot.y or 0.0), []).append(i)
    return Rack(
        name,
        (Lid(name="tub", width=40, length=28, clear=True), *places),
        tuple(found),
        SIZE,
        tuple(tuple(sorted(number[other] for other in graph[spot])) for spot in found),
        tuple(tuple(sorted(number[other] for other in close[spot])) for spot in found),
        tuple(map(tuple, rows.values())),
    )


def arrivals(size: int, load: float, seed: int) -> list[Arrival]:
    """A season in which on the average ``load`` of ``size`` spots are taken.

    How many pupate is Poisson about a mean that goes with the day of the week; no more than the rack has room
    for when they are firm. The mean is searched for until the load is as wanted, with the same chances drawn.
    """
    low, high = 0.2 * load * size / 9, 5 * load * size / 9
    for _ in range(20):
        middle = (low + high) / 2
        found = _season(size, middle, seed)
        if loaded(found, size) < load:
            low = middle
        else:
            high = middle
    return _season(size, high, seed)


def loaded(found: list[Arrival], size: int) -> float:
    """Share of the spots taken, on the average of the evenings from WARM to the last with newcomers."""
    last = DAYS + FIRM
    taken = sum(max(0, min(a.gone, last) - max(a.hung, WARM)) for a in found)
    return taken / (size * (last - WARM))


def _season(size: int, mean: float, seed: int) -> list[Arrival]:
    rng = np.random.default_rng([seed, 1])
    shares = MONARCH.season_share, MONARCH.day_share
    of_season = rng.normal()
    taken = np.zeros(DAYS + 60, dtype=int)
    found: list[Arrival] = []
    for day in range(DAYS):
        # The same numbers are drawn for a day whatever the mean is.
        chances = np.random.default_rng([seed, 2, day])
        of_day, uniform = chances.normal(), chances.random()
        weight = WEEK[(FIRST + timedelta(days=day)).weekday()]
        hours, own = chances.random(size), chances.normal(size=size)
        for k in range(_poisson(mean * weight, uniform)):
            if k >= size or taken[day + FIRM] >= size:
                break  # no room: the keeper lets the others be
            error = math.sqrt(shares[0]) * of_season + math.sqrt(shares[1]) * of_day
            error += math.sqrt(1 - sum(shares)) * own[k]
            need = MONARCH.requirement * max(0.3, 1 + MONARCH.spread * error)
            ready = day + hours[k] + need / (CONSTANT - MONARCH.lower)
            low, high = MONARCH.emerges_from, MONARCH.emerges_until
            emerged = math.floor(ready) + (low + (high - low) * (ready % 1)) / 24
            one = Arrival(f"d{day}n{k}", day, day + FIRM, emerged)
            found.append(one)
            taken[one.hung : one.gone] += 1
    return found


def _poisson(mean: float, uniform: float) -> int:
    """The Poisson number that a uniform one stands for: it rises with the mean."""
    k, term = 0, math.exp(-mean)
    total = term
    while uniform > total and k < 200:
        k += 1
        term *= mean / k
        total += term
    return k
