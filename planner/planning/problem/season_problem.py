"""The problem of a season on one day: who may move, which spots are open, who is whose neighbour."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from math import dist

import networkx as nx
import numpy as np

from planner.emergence import Due, Emergence, Forecast, emergences, together
from planner.emergence import gap as due_gap
from planner.emergence.drying import together_each
from planner.engine.model.instance import Instance, Node, SpotOf
from planner.engine.model.line_position import LinePosition
from planner.planning.problem.arrivals import DayScale, LookAhead, look_ahead
from planner.planning.problem.drying import Drying
from planner.planning.problem.open_spots import exclusive_spots, open_marks
from planner.rack.neighbours import neighbour_graph
from planner.rack.spots import Spot, home_of, positions
from planner.season import Lid, Pupa, Season, TooClose
from planner.season.reading.told_dates import until

HAIR = 1e-9  # of a chance


@dataclass(frozen=True)
class SeasonProblem:
    """A season and the instance made of it.

    Attributes
    ----------
    now
        Id → forecast.
    ids
        Item → id of its pupa.
    prepupae
        Id → spot of those of whom nothing is decided; they stay and clash with nobody.
    scale
        Of the dues.
    """

    season: Season
    now: Mapping[str, Forecast]
    ids: tuple[str, ...]
    instance: Instance
    prepupae: dict[str, Spot]
    scale: DayScale
    at: datetime | None = None  # when none of them had emerged: chances are given that
    risk: float | None = None  # allowed; None where only dates count
    for_good: frozenset[str] = frozenset()  # ids of those whose spot is given to nobody after them

    @property
    def movable(self) -> bool:
        """Whether there is anything to decide."""
        return bool(self.instance.free_items)

    def to_clear(self, place: str) -> bool:
        """Whether everybody must leave that place."""
        found = self.season.place[place]
        return isinstance(found, Lid) and found.clear

    @cached_property
    def drying(self) -> Drying:
        """The chances that two of the items dry their wings together; none for one without a date."""
        found = emergences(self.season, [self.season.pupa[i] for i in self.ids], self.at)
        dated = [found[name] if self.now[name].due else None for name in self.ids]
        return Drying.of(dated, self.instance.dues)

    @cached_property
    def close(self) -> nx.Graph[Spot]:
        """The spots, an edge where two are nearer to one another than the elbow room that hands need."""
        spots = [node for node in self.instance.graph if isinstance(node, Spot)]
        if self.season.least_elbow_room <= 0:  # none is asked for: nobody hangs too near
            nobody: nx.Graph[Spot] = nx.Graph()
            nobody.add_nodes_from(spots)
            return nobody
        return neighbour_graph(spots, self.season.least_elbow_room, 0.0)

    @cached_property
    def line_positions(self) -> dict[Node, LinePosition]:
        """Where on its line each node of a line with sliding clips is."""
        found: dict[Node, LinePosition] = {}
        for node in (*self.instance.graph, *self.prepupae.values()):
            place = self.season.place[node.place]
            if place.slides:
                found[node] = LinePosition(node.place, node.x)
        return found

    @cached_property
    def dues(self) -> list[Due | None]:
        """Item → due; None: no date is known."""
        return [self.now[i].due for i in self.ids]

    def _why_not_parted(self, a: int, b: int) -> str:
        """Until when one of two is too soft, or deferred; empty where neither is."""
        both = [(self.season.pupa[name], self.now[name]) for name in (self.ids[a], self.ids[b])]
        later = [f for pupa, f in both if moved_later(pupa, self.season, f)]
        first = min(later, key=lambda f: f.firm_from or datetime.max, default=None)
        if first is None or first.firm_from is None:
            return ""
        soft = f"too soft to part before {until(first.firm_from)}"
        return first.why if first.stage == "waiting" else soft

    def too_close(self, spot_of: SpotOf, days: float) -> tuple[tuple[TooClose, ...], tuple[TooClose, ...]]:
        """Clashes, and pending pairs, of which one is soft or deferred; both with names and distances.

        ``spot_of``: all items, or some of them, whose pairs are then found.
        """
        clashes: list[TooClose] = []
        pending: list[TooClose] = []
        moved = set(self.instance.touched({**self.instance.homes, **spot_of}))
        for i, j in self.instance.clashes(spot_of, days, pinned_too=True):  # those not to be touched as well
            a, b = sorted((i, j))
            due, due_too = self.dues[a], self.dues[b]
            gap = due_gap(due, due_too) if due and due_too else 0.0  # it may be due on any day
            at, bt = spot_of[a].at, spot_of[b].at  # type: ignore[attr-defined]  # nodes are Spots here
            apart = None if at is None or bt is None else round(dist(at, bt), 3)
            why = "" if moved & {a, b} else self._why_not_parted(a, b)
            pair = TooClose(a=self.ids[a], b=self.ids[b], gap=gap, distance=apart, why=why)
            (pending if why else clashes).append(pair)
        order = lambda pair: (pair.gap, pair.a, pair.b)  # noqa: E731
        return tuple(sorted(clashes, key=order)), tuple(sorted(pending, key=order))


def hangs_already(pupa: Pupa, season: Season) -> bool:
    """Whether a pupa has been taken from its lid."""
    return not isinstance(season.place[pupa.place], Lid)


def moved_later(pupa: Pupa, season: Season, forecast: Forecast) -> bool:
    """Whether a later plan moves it by itself, though it may not be touched now.

    Whoever is told to stay is never moved, and who hangs already only where re-hanging is asked for.
    """
    return forecast.later and not pupa.stay and not hangs_already(pupa, season)


def stays_put(pupa: Pupa, season: Season, forecast: Forecast, rehang: bool = False) -> bool:
    """Whether this pupa is not to be touched: its own state, the keeper's word, or it hangs already."""
    return not forecast.movable or pupa.stay or (hangs_already(pupa, season) and not rehang)


def season_problem(
    season: Season,
    now: Mapping[str, Forecast],
    risk: float | None = None,
    *,
    on: datetime | None = None,
    at: datetime | None = None,
    rehang: bool = False,
    also_pinned: Collection[str] = (),
    gap: float | None = None,
    placed: Collection[str] = (),
) -> SeasonProblem:
    """The problem of a season as of the forecasts ``now``.

    Parameters
    ----------
    risk
        Chance allowed that two neighbours dry their wings together; None where only dates count.
    on
        The moment of the forecasts: from then on others are expected. None: nobody is.
    at
        When none of them had emerged, for ``risk``; None: ``on``.
    rehang
        Whether those that hang already may be moved too.
    also_pinned
        Ids of those who stay in any case.
    gap
        Days between neighbours' dues for those who will have to be parted; None: the season's.
    placed
        Ids of those deferred for whom a spot is reserved already.
    """
    at = on if at is None else at
    present = [p for p in season.pupae if p.present]
    homes = {p.id: home_of(season, p.id) for p in present}
    pupae = [p for p in present if p.pupated is not None]
    fixed = {
        p.id for p in present
        if p.pupated is None or p.id in also_pinned or stays_put(p, season, now[p.id], rehang)
    }  # fmt: skip
    on_it = positions(season)
    marks = open_marks(season, on_it, [homes[p.id] for p in present if p.id in fixed])
    usable = {spot for found in on_it.values() for spot in found if not spot.unusable}
    for_good = {name for name in fixed if homes[name] not in usable}
    nodes = dict.fromkeys([*marks, *(homes[p.id] for p in pupae)])  # who may be re-hung hangs on an open mark
    graph = neighbour_graph(nodes, season.wing_reach, season.drop, season.dividers)
    undated = frozenset(i for i, p in enumerate(pupae) if now[p.id].due is None)
    medians = sorted(due.median for p in pupae if (due := now[p.id].due))
    scale = DayScale(min(medians, default=on or datetime.min))
    any_day = (
        medians[len(medians) // 2] if medians else scale.first
    )  # a number for the engine, told to nobody
    dues = [due.median if (due := now[p.id].due) else any_day for p in pupae]
    clear = {place.name for place in season.places if isinstance(place, Lid) and place.clear}
    free = [i for i, p in enumerate(pupae) if p.id not in fixed]
    expected = (
        LookAhead()
        if on is None
        else look_ahead(
            season,
            now,
            pupae,
            graph,
            on,
            scale,
            fixed,
            for_good,
            season.gap_days if gap is None else gap,
            placed,
        )
    )
    kinds, risky = _kinds(season, [*pupae, *expected.pupae], undated, risk, at)
    instance = Instance(
        graph=graph,
        dues=tuple(map(scale.days, dues)),
        pinned={i: homes[p.id] for i, p in enumerate(pupae) if p.id in fixed},
        open_nodes=tuple(marks),
        homes={i: homes[pupae[i].id] for i in free},
        soft=frozenset(i for i, p in enumerate(pupae) if p.id in fixed and moved_later(p, season, now[p.id])),
        barred=frozenset(i for i in free if pupae[i].place in clear),
        kinds=kinds[: len(pupae)],
        risky=risky,
        undated=undated,
        price={i: season.rehang_price for i in free if hangs_already(pupae[i], season)},
        exclusive=exclusive_spots(season, graph),
        vacated=expected.vacated,
        coming=expected.of_kinds(kinds[len(pupae) :]),
        vacancy_chance=expected.vacancy_chance,
    )
    prepupae = {p.id: homes[p.id] for p in present if p.pupated is None}
    return SeasonProblem(
        season, now, tuple(p.id for p in pupae), instance, prepupae, scale, at, risk, frozenset(for_good)
    )


def _kinds(
    season: Season, pupae: Sequence[Pupa], undated: Collection[int], risk: float | None, at: datetime | None
) -> tuple[tuple[int, ...], frozenset[tuple[int, int]]]:
    """Kind of each pupa, and pairs of kinds that clash whatever their dues.

    Those without a date are the last kind, and it clashes with every kind: they may be due on any day.
    """
    dated = [p for i, p in enumerate(pupae) if i not in undated]
    kinds, risky, last = [0] * len(dated), set[tuple[int, int]](), 1
    if risk is not None:
        kinds, risky = _at_risk(season, dated, risk, at)
        last = len({*kinds})
    if not undated:
        return (() if risk is None else tuple(kinds)), frozenset(risky)
    rest = iter(kinds)
    risky |= {pair for k in range(last + 1) for pair in ((k, last), (last, k))}
    return tuple(last if i in undated else next(rest) for i in range(len(pupae))), frozenset(risky)


def _at_risk(
    season: Season, dated: Sequence[Pupa], risk: float, at: datetime | None
) -> tuple[list[int], set[tuple[int, int]]]:
    """Kind of each pupa (those alike in species and pupation are one), and pairs of kinds over the risk."""
    found = emergences(season, dated, at)
    kind_of: dict[int, int] = {}
    one_of: list[Emergence] = []
    kinds = []
    for pupa in dated:
        emergence = found[pupa.id]
        assert emergence is not None  # it has a due, so it has a distribution
        if id(emergence) not in kind_of:
            kind_of[id(emergence)] = len(one_of)
            one_of.append(emergence)
        kinds.append(kind_of[id(emergence)])
    risky = set[tuple[int, int]]()
    if not one_of:
        return kinds, risky
    chances = together_each(one_of)
    close = np.abs(chances - risk) < HAIR  # to the last bit, as the verifier reckons two by two
    over = chances > risk
    for a, b in np.argwhere(over | close).tolist():
        if (over[a, b] and not close[a, b]) or together(one_of[a], one_of[b]) > risk:
            risky.add((a, b))
    return kinds, risky
