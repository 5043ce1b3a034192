"""What a drawing needs to know, and nothing else: plain data made from the season and the plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from planner.rack.cards import cards_on
from planner.season.direction import apart
from planner.season.places import Place
from planner.season.places.dividers import Divider
from planner.season.plan.plan_record import Hang, Plan, Stuck, TooClose, Waits
from planner.season.season import Season


@dataclass(frozen=True)
class Mark:
    """One spot a place offers: its tag, and where it is in cm in the place's own frame (see ``Hang``)."""

    tag: str
    x: float
    y: float
    usable: bool = True


@dataclass(frozen=True, kw_only=True)
class Hung:
    """One pupa where it will be under the plan.

    ``origin``: for one to be moved, where it is now (``tub-2``, ``north 36``). ``clash``, ``wait``: it is
    one of such a pair.
    """

    pupa: str
    pupated: date | None
    due: date | None
    place: str
    spot: str
    x: float | None
    y: float | None
    origin: str | None = None
    clash: bool = False
    wait: bool = False


@dataclass(frozen=True)
class Pair:
    """Two neighbours due too soon after one another; ``wait``: to be parted when the softer one is firm."""

    a: Hung
    b: Hung
    days: float
    distance: float | None
    wait: bool
    why: str = ""


@dataclass(frozen=True)
class KeptSpot:
    """A spot kept ``since`` a day for ``who``: a pupa's id, or ``""`` for one expected; x, y as in `Mark`."""

    who: str
    spot: str
    x: float
    y: float
    since: date


@dataclass(frozen=True)
class PlacePicture:
    """One place, its spots, who hangs there, the pairs that have one of them, its cards and kept spots."""

    place: Place
    marks: tuple[Mark, ...]
    hung: tuple[Hung, ...]
    pairs: tuple[Pair, ...]
    cards: tuple[Divider, ...] = ()
    kept: tuple[KeptSpot, ...] = ()

    @property
    def free(self) -> tuple[Mark, ...]:
        """Spots nobody hangs at."""
        return tuple(m for m in self.marks if not self._taken(m.tag, m.x, m.y))

    @property
    def kept_free(self) -> tuple[KeptSpot, ...]:
        """Kept spots nobody hangs at now; the others come free by then."""
        return tuple(k for k in self.kept if not self._taken(k.spot, k.x, k.y))

    def _taken(self, spot: str, x: float, y: float) -> bool:
        spots, at = self._hung_at
        return spot in spots or (round(x, 1), round(y, 1)) in at

    @cached_property
    def _hung_at(self) -> tuple[set[str], set[tuple[float, float]]]:
        points = {(round(h.x, 1), round(h.y, 1)) for h in self.hung if h.x is not None and h.y is not None}
        return {h.spot for h in self.hung}, points


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """All of a season that is drawn on one map.

    ``left``: no spot found; ``unplanned``: not in the plan; ``stuck``: stay as no order of moves works;
    ``waits``: left on their lids for now. ``above``: places drawn above on the same paper, where clashes and
    those left are told, too; None: there is nothing above.
    """

    title: str
    on: datetime
    units: str
    cm_per_unit: float
    too_near: str  # what makes two neighbours clash, in words
    pictures: tuple[PlacePicture, ...]
    pairs: tuple[Pair, ...]
    left: tuple[str, ...]
    unplanned: tuple[str, ...]
    cards: tuple[Divider, ...] = ()
    stuck: tuple[Stuck, ...] = ()
    waits: tuple[Waits, ...] = ()
    above: frozenset[str] | None = None

    @property
    def hung(self) -> tuple[Hung, ...]:
        """Everybody, place by place."""
        return tuple(h for p in self.pictures for h in p.hung)

    def folds(self, picture: PlacePicture) -> bool:
        """Whether a line or board is told in words alone: nobody hangs there, but on another one.

        While all of them are empty they are drawn, to show where somebody could hang.
        """
        return not picture.hung and any(p.hung and p.place.offers_spots for p in self.pictures)

    def length(self, cm: float) -> str:
        """Give a length in the keeper's unit, without the unit."""
        return f"{round(cm / self.cm_per_unit, 2):g}"

    def where(self, h: Hung, name: str) -> str:
        """Say where a pupa hangs, the place called ``name``: ``north 36 cm``, ``cork r2p5``, ``tub-2``."""
        place = next(p.place for p in self.pictures if p.place.name == h.place)
        return f"{apart(name)} {spot_words(place, h.spot, self.units)}".rstrip()


def spot_words(place: Place, spot: str, units: str) -> str:
    """Name a spot within its place: a length and its unit, a pin, or nothing on a lid."""
    return place.spot_words(spot, units) if place.offers_spots and spot != "?" else ""


def sheet(season: Season, plan: Plan, marks_by_place: Mapping[str, Sequence[Mark]]) -> Sheet:
    """Gather what the map shows. Pupae that are gone are left out, so their spots are free.

    Raises
    ------
    ValueError
        When the plan names a pupa or a place that the season does not have.
    """
    unknown = sorted({h.pupa for h in plan.hangs} - set(season.pupa))
    unknown += sorted({h.place for h in plan.hangs} - set(season.place))
    if unknown:
        raise ValueError(f"the plan names {', '.join(unknown)}, which the season does not have: plan again")
    present = {h.pupa for h in plan.hangs if season.pupa[h.pupa].present}
    clash, wait = _ones_of(plan.clashes, present), _ones_of(plan.waiting, present)
    origins = _origins(season, plan)
    hung = {h.pupa: _hung(season, h, origins, clash, wait) for h in plan.hangs if h.pupa in present}
    pairs = [*_pairs(plan.clashes, hung, wait=False), *_pairs(plan.waiting, hung, wait=True)]
    waiting = {w.pupa for w in plan.waits}
    return Sheet(
        title=season.name,
        on=plan.on,
        units=season.units,
        cm_per_unit=season.cm_per_unit,
        too_near=_too_near(plan),
        pictures=tuple(
            replace(p, cards=cards_on(p.place.name, season.dividers), kept=_kept(season, plan, p))
            for p in pictures(season.places, tuple(hung.values()), pairs, marks_by_place)
        ),
        pairs=tuple(pairs),
        left=tuple(p for p in plan.left if p in season.pupa and season.pupa[p].present and p not in waiting),
        unplanned=tuple(
            p.id for p in season.pupae if p.present and p.id not in hung and p.id not in plan.left
        ),
        cards=season.dividers,
        stuck=tuple(s for s in plan.stuck if s.pupa in hung),
        waits=tuple(w for w in plan.waits if w.pupa in hung),
    )


def _too_near(plan: Plan) -> str:
    """What makes two neighbours clash: how near their days are, or that nobody knows the day of one."""
    pairs = (*plan.clashes, *plan.waiting)
    none = set(plan.undated(pairs))
    undated = [bool(none & {c.a, c.b}) for c in pairs]
    if undated and all(undated):
        return "neighbours, one of them without a date"
    return f"neighbours {plan.too_near}" + (", or one of them without a date" if any(undated) else "")


def _kept(season: Season, plan: Plan, picture: PlacePicture) -> tuple[KeptSpot, ...]:
    """Spots of a place kept for those to come, the first needed first."""
    found = []
    for kept in plan.kept:
        if kept.place == picture.place.name and (at := picture.place.point(kept.spot, season.cm_per_unit)):
            who = kept.who if kept.who in season.pupa else ""
            found.append(KeptSpot(who, kept.spot, *at, kept.since.date()))
    return tuple(sorted(found, key=lambda k: (k.since, -k.y, k.x)))


def pictures(
    places: Sequence[Place],
    hung: Sequence[Hung],
    pairs: Sequence[Pair],
    marks_by_place: Mapping[str, Sequence[Mark]],
) -> tuple[PlacePicture, ...]:
    """Split everything by place, in the season's order; who hangs there from left to right."""
    hung_at: dict[str, list[Hung]] = defaultdict(list)
    pairs_at: dict[str, list[Pair]] = defaultdict(list)
    for one in hung:
        hung_at[one.place].append(one)
    for pair in pairs:
        for name in {pair.a.place, pair.b.place}:
            pairs_at[name].append(pair)
    return tuple(
        PlacePicture(
            place,
            tuple(marks_by_place.get(place.name, ())),
            tuple(sorted(hung_at[place.name], key=_position)),
            tuple(pairs_at[place.name]),
        )
        for place in places
    )


def _position(h: Hung) -> tuple[float, float, str]:
    return (-(h.y or 0.0), h.x or 0.0, h.pupa)


def _origins(season: Season, plan: Plan) -> dict[str, str]:
    """Where each mover is now; on a lid its name is enough, elsewhere it is found by its spot."""
    origins = {h.pupa: apart(h.from_place) for h in plan.hangs if h.from_place}
    first = {m.pupa: m for m in sorted(plan.moves, key=lambda m: -m.step)}  # before any that parks it
    for move in first.values():
        source = season.place.get(move.from_place)
        if move.pupa in origins and (source is None or source.offers_spots):
            origins[move.pupa] = f"{apart(move.from_place)} {move.from_spot}"
    return origins


def _hung(season: Season, hang: Hang, origins: dict[str, str], clash: set[str], wait: set[str]) -> Hung:
    pupated = season.pupa[hang.pupa].pupated
    return Hung(
        pupa=hang.pupa,
        pupated=pupated.day if pupated else None,
        due=hang.due,
        place=hang.place,
        spot=hang.spot,
        x=hang.x,
        y=hang.y,
        origin=origins.get(hang.pupa),
        clash=hang.pupa in clash,
        wait=hang.pupa in wait,
    )


def _ones_of(found: Sequence[TooClose], present: Set[str]) -> set[str]:
    """Everybody who is one of a pair whose other is there too."""
    return {p for c in found if {c.a, c.b} <= present for p in (c.a, c.b)}


def _pairs(found: Sequence[TooClose], hung: Mapping[str, Hung], *, wait: bool) -> list[Pair]:
    return [
        Pair(hung[c.a], hung[c.b], c.gap, c.distance, wait, c.why)
        for c in found
        if c.a in hung and c.b in hung
    ]
