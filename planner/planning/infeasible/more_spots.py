"""More spots as a way out: how much longer a line or board has to be, or what has to be hung up beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from planner.emergence import Forecast
from planner.engine.model import budget
from planner.planning.infeasible.clash_free import InfeasibleSeason
from planner.planning.infeasible.fewest import fewest
from planner.planning.infeasible.reasons import pinned_pairs
from planner.planning.problem.season_problem import SeasonProblem
from planner.rack import spots
from planner.rack.sliding import KNOT, steps_on
from planner.season import Line, Place, Season
from planner.season.plan.reason_record import AnotherPlace, MoreSpots, NoWay, WayOut
from planner.season.reading.fields import LONGEST

EPS = 1e-9


@dataclass(frozen=True)
class _Addition:
    """Ever more of one thing, up to ``most``: the season with so much of it, and the way out that tells it.

    More of it never harms, so that the fewest are found by doubling and halving.
    """

    season: Callable[[int], Season]
    way: Callable[[int], MoreSpots | AnotherPlace]
    most: int


def more_spots(infeasible: InfeasibleSeason, problem: SeasonProblem) -> Iterator[WayOut]:
    """The least that has to be added, for each kind of place; proved, or at least enough.

    A line or board is lengthened at its right end, where nothing that hangs is touched by it. One that would
    be more than three times as long is told as another one beside it instead, out of reach of all the others.
    """
    season, now = infeasible.season, dict(problem.now)
    if pinned_pairs(problem, infeasible.days):
        yield NoWay(of="spots", why="a pair that clashes may not be touched")
        return
    for places in _of_kinds(season):
        best: MoreSpots | AnotherPlace | None = None
        for place in _different(season, places):
            if infeasible.effort.clock.left <= 0:
                return
            infeasible.effort.say(f"how many more spots on {place.name} would do")
            less = best.more if best else LONGEST
            best = _fewest(infeasible, now, _lengthened(season, place, less)) or best
        if best is None:
            infeasible.effort.say(f"how large another {places[0].kind} would do")
            beside = (_fewest(infeasible, now, one) for one in _beside(season, places[0]))
            best = next((way for way in beside if way), None)
        if best is not None:
            yield best


def _fewest(
    infeasible: InfeasibleSeason, now: dict[str, Forecast], addition: _Addition
) -> MoreSpots | AnotherPlace | None:
    count, needed = fewest(
        addition.most,
        lambda n: infeasible.excluded(addition.season(n), now),
        lambda n: infeasible.possible(addition.season(n), now),
    )
    if count is None:
        return None
    way, least = addition.way(count), addition.way(needed)
    return replace(way, least=needed == count, needed=least.more)


def _of_kinds(season: Season) -> list[list[Place]]:
    """The places that can have more spots which the keeper can use, those of a kind together."""
    marks = spots(season)
    found: dict[tuple[str, bool], list[Place]] = {}
    for place in season.places:
        if place.more is not None and not all(mark.unusable for mark in marks[place.name]):
            found.setdefault((place.kind, place.slides), []).append(place)
    return list(found.values())


def _different(season: Season, places: list[Place]) -> Iterator[Place]:
    """Of empty places alike, of which it is not told where they stand, the first: the answer is the same."""
    taken = {pupa.place for pupa in season.pupae if pupa.present}
    taken |= {name for card in season.dividers for name, _ in (card.a, card.b)}
    seen: set[Place] = set()
    for place in places:
        alike = replace(place, name="")
        if place.name in taken or place.located or alike not in seen:
            yield place
        if place.name not in taken:
            seen.add(alike)


def _lengthened(season: Season, place: Place, less: float) -> _Addition:
    """Marks, columns of pins or steps of clips that slide, at the end of a place: fewer cm than ``less``."""
    unit, first = place.pitch, 0.0
    if isinstance(place, Line) and place.slides:
        unit = place.to_nearest
        # One more step needs the far knot beyond it: so much first, then a step at a time.
        first = round(steps_on(place, season).stop * unit + KNOT[season.units] - place.length - unit, 6)

    def longer(count: int) -> Place:
        return place.longer(round(first + count * unit, 6) if place.slides else count)

    def way(count: int) -> MoreSpots:
        length = longer(count).extent[0]
        number = 0 if place.slides else count
        pins = sum(1 for _ in place.longer(1).marks(season.cm_per_unit)) if place.stacked else 0
        column = pins - sum(1 for _ in place.marks(season.cm_per_unit)) if place.stacked else 0
        more = round(length - place.extent[0], 6)
        return MoreSpots(place=place.name, count=number, pins=column * count, more=more, length=length)

    def with_more(count: int) -> Season:
        after = longer(count)
        return replace(season, places=tuple(after if p is place else p for p in season.places))

    most_cm = min(less - EPS, min(budget.LONGER * place.extent[0], LONGEST) - place.extent[0] + EPS)
    most = int((most_cm - first) / unit)
    return _Addition(with_more, way, most)


def _beside(season: Season, like: Place) -> Iterator[_Addition]:
    """What is hung up beside a place: one of another size; of boards first one or two of the same size."""
    if like.stacked:
        yield _more_alike(season, like, budget.ALIKE)
    yield _another(season, like)
    yield _more_alike(season, like, budget.MORE_PLACES)


def _another(season: Season, like: Place) -> _Addition:
    """One more with as many marks, columns of pins or steps of clips that slide."""
    unit = first = like.pitch
    if isinstance(like, Line) and like.slides:
        unit = like.to_nearest
        first = steps_on(like, season).start * unit + KNOT[season.units] - unit
    if like.stacked:
        first = 0.0

    def length(count: int) -> float:
        return round(first + count * unit, 6)

    return _Addition(
        lambda n: _with(season, like, 1, length(n)),
        lambda n: AnotherPlace(like=like.name, count=1, more=length(n), length=length(n)),
        int((LONGEST - first) / unit + EPS),
    )


def _more_alike(season: Season, like: Place, most: int) -> _Addition:
    """So many more just like it."""
    wide = like.extent[0]
    return _Addition(
        lambda n: _with(season, like, n, wide),
        lambda n: AnotherPlace(like=like.name, count=n, more=round(n * wide, 6), length=wide),
        most,
    )


def _with(season: Season, like: Place, count: int, length: float) -> Season:
    """With so many more such places of that length, far from everything."""
    names = (name for k in range(2, len(season.places) + count + 2) if (name := f"{like.name} {k}"))
    free = [name for name in names if name not in season.place][:count]
    sized = like.longer((length - like.extent[0]) / (1.0 if like.slides else like.pitch))
    new = (replace(sized, name=name, left=None, front=None) for name in free)
    return replace(season, places=(*season.places, *new))
