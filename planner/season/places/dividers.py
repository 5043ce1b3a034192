"""Dividers: a stiff card between two spots; adults at them can neither touch nor drip on one another.

A card takes away this one pair of neighbours and no other: what else it may shelter is not counted on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import dist, hypot

from planner.season.places.place import EDGE, XYZ, Place, fold
from planner.season.pupae import Pupa
from planner.season.reading.fields import Fields, Report
from planner.season.reading.problems import Problem, shorten
from planner.season.reading.scalars import did_you_mean, tidy
from planner.season.reading.yaml_text import Node

SIDEWAYS = 2.0  # cm between two hooks that an upright card needs, to stand clear of both; a guess

End = tuple[str, str]  # place, spot


@dataclass(frozen=True)
class Divider:
    """A card between two spots, each a place and a spot as it is written on a tag: ``north``, ``36``."""

    a: End
    b: End


@dataclass(frozen=True)
class StatedDivider:
    """A card as stated, and where: names are not yet looked up."""

    ends: tuple[str, str]
    where: str
    line: int
    column: int


def read_divider(report: Report, node: Node, where: str) -> StatedDivider | None:
    """Read one item of ``dividers:``; what is wrong with its form goes to ``report``."""
    fields = Fields(report, node, where, ("between",))
    ends: list[str] = []
    for path, item in fields.items("between"):
        own = Fields(report, Node({"": item}, item.line, item.column), path)
        ends.append(" ".join(own.text("", "", need=True, longest=80).split()))
    if not fields.clean:
        return None
    if len(ends) != 2:
        fault = "write the two spots it stands between, such as [north 36, north 40]"
        fields.fault("between", f"{len(ends)} spots: {fault}" if fields.has("between") else fault)
        return None
    at = fields.map["between"]
    return StatedDivider((ends[0], ends[1]), fields.path("between"), at.line, at.column)


def find_end(text: str, places: Mapping[str, Place], cm_per_unit: float) -> tuple[Place | None, str]:
    """Place and spot of ``north 36`` or ``cork r2p5``; ``places`` by folded name. None: no such place."""
    name, _, spot = text.rpartition(" ")
    if (whole := places.get(fold(text))) is not None:
        return whole, ""
    place = places.get(fold(name))
    return place, spot if place is None else place.tidy(spot, cm_per_unit)


def resolve(
    stated: Iterable[StatedDivider], places: Iterable[Place], cm_per_unit: float
) -> tuple[Divider, ...]:
    """The cards whose spots could be found; for the others `divider_faults` says what is wrong."""
    by_name = {fold(p.name): p for p in places}
    found = []
    for one in stated:
        (p, a), (q, b) = (find_end(end, by_name, cm_per_unit) for end in one.ends)
        if p is not None and q is not None and a and b:
            found.append(Divider((p.name, a), (q.name, b)))
    return tuple(found)


@dataclass(frozen=True)
class Rules:
    """What of a season decides whether a card can stand somewhere. Lengths cm."""

    units: str
    cm_per_unit: float
    wing_reach: float
    drop: float
    clearance: float

    def cannot(self, p: Place, a: str, q: Place, b: str) -> str:
        """Empty, or why no card belongs between two spots that exist: no neighbours, or no room for it."""
        (x, depth, z), (x2, depth2, z2) = (spot_at(*s, self.cm_per_unit) for s in ((p, a), (q, b)))
        sideways, up = hypot(x - x2, depth - depth2), abs(z - z2)
        together = p.name == q.name or (p.located and q.located)
        near = sideways < self.wing_reach - EDGE and (up <= self.drop + EDGE)
        near = near or dist((x, depth, z), (x2, depth2, z2)) < self.wing_reach - EDGE
        if not together or not near:
            return "are no neighbours: there is nothing to divide"
        if sideways < SIDEWAYS - EDGE and up < self.clearance - EDGE:
            if up < EDGE:
                return f"are {self._length(sideways)} apart: a card needs {self._length(SIDEWAYS)}"
            free = f"leaves less free below the upper one than clearance, {self._length(self.clearance)}"
            return f"hang under one another, {self._length(up)} apart: a card between {free}"
        return ""

    def _length(self, cm: float) -> str:
        return f"{tidy(round(cm / self.cm_per_unit, 2))} {self.units}"


def divider_faults(
    stated: Iterable[StatedDivider],
    places: Iterable[Place],
    faulty: Iterable[str],
    rules: Rules,
    pupae: Iterable[Pupa],
    file: str,
) -> Iterator[Problem]:
    """Whatever is wrong with cards whose form is right.

    ``faulty``: names of places that have faults of their own, which are passed over. ``pupae``: who hangs or
    hung between marks makes a spot of it.
    """
    by_name, passed = {fold(p.name): p for p in places}, {fold(name) for name in faulty}
    hung = {(p.place and fold(p.place), p.spot or "") for p in pupae}
    first: dict[frozenset[End], str] = {}
    for one in stated:
        found: list[tuple[Place, str]] = []
        problems: list[str] = []
        for text in one.ends:
            place, spot = find_end(text, by_name, rules.cm_per_unit)
            if place is None and {fold(text), fold(text.rpartition(" ")[0])} & passed:
                break
            what = _end_fault(text, place, spot, by_name, rules, hung)
            problems += [what] if what else []
            found += [(place, spot)] if place is not None and not what else []
        else:
            if len(found) == 2:
                (p, a), (q, b) = found
                key = frozenset(((p.name, a), (q.name, b)))
                if len(key) == 1:
                    problems.append(
                        f"'{shorten(one.ends[0])}' is named twice: a card stands between two spots"
                    )
                elif first.setdefault(key, one.where) != one.where:
                    before = first[key].rpartition(".")[0]
                    problems.append(f"there is such a card already, {before}: each is given once")
                elif what := rules.cannot(p, a, q, b):
                    problems.append(f"{p.name} {a} and {q.name} {b} {what}")
        for what in problems:
            yield Problem(file, one.line, one.column, one.where, what)


def _end_fault(
    text: str,
    place: Place | None,
    spot: str,
    by_name: Mapping[str, Place],
    rules: Rules,
    hung: set[tuple[str, str]],
) -> str:
    shown = shorten(text)
    if place is None:
        known = [p.name for p in by_name.values() if p.offers_spots]
        hint = did_you_mean(text.rpartition(" ")[0], known) or f": lines and boards are {', '.join(known)}"
        return f"'{shown}': write a place and a spot on it, such as north 36{hint}"
    here = {place.tidy(s, rules.cm_per_unit) for name, s in hung if name == fold(place.name)}
    what = place.no_card(spot, here, rules)
    return f"'{shown}': {what}" if what else ""


def spot_at(place: Place, spot: str, cm_per_unit: float) -> XYZ:
    """Where a spot is: from the rack's left edge, before the wall, above the floor; cm."""
    at = place.point(spot, cm_per_unit)
    if at is None:
        raise ValueError(f"{place.name}: there is no spot '{spot}'")
    return place.stand(*at)
