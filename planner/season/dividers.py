"""Dividers: a stiff card between two spots; adults at them can neither touch nor drip on one another.

A card takes away this one pair of neighbours and no other: what else it may shelter is not counted on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import dist, hypot

from planner.season.fields import Fields, Report
from planner.season.places import Board, Lid, Line, Place, fold, parse_pin
from planner.season.problems import Problem, shorten
from planner.season.pupae import Pupa
from planner.season.scalars import did_you_mean, parse_number, tidy
from planner.season.yaml_text import Node

EDGE = 1e-6  # cm
SAME = 0.005  # cm: as near as anybody hangs
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


def find_end(text: str, places: Mapping[str, Place]) -> tuple[Place | None, str]:
    """Place and spot of ``north 36`` or ``cork r2p5``; ``places`` by folded name. None: no such place."""
    name, _, spot = text.rpartition(" ")
    if (whole := places.get(fold(text))) is not None:
        return whole, ""
    place = places.get(fold(name))
    return place, _tidy(place, spot)


def _tidy(place: Place | None, spot: str) -> str:
    """A spot as it is written on a tag: ``036.0`` is ``36``."""
    number = parse_number(spot) if isinstance(place, Line) else None
    return spot if number is None else f"{round(number, 3):.10g}"


def resolve(stated: Iterable[StatedDivider], places: Iterable[Place]) -> tuple[Divider, ...]:
    """The cards whose spots could be found; for the others `divider_faults` says what is wrong."""
    by_name = {fold(p.name): p for p in places}
    found = []
    for one in stated:
        (p, a), (q, b) = (find_end(end, by_name) for end in one.ends)
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
            place, spot = find_end(text, by_name)
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
        known = [p.name for p in by_name.values() if not isinstance(p, Lid)]
        hint = did_you_mean(text.rpartition(" ")[0], known) or f": lines and boards are {', '.join(known)}"
        return f"'{shown}': write a place and a spot on it, such as north 36{hint}"
    match place:
        case Lid():
            return f"'{shown}': a lid has no spots; a card stands between spots of lines and boards"
        case Line(length=length, clips_every=every):
            at, end = parse_number(spot), length / rules.cm_per_unit
            if at is None or not 0 < at < end:
                return f"'{shown}': write where on line {place.name}, more than 0 and less than {tidy(end)}"
            known_spots = {_tidy(place, s) for name, s in hung if name == fold(place.name)}
            off = abs(at * rules.cm_per_unit - round(at * rules.cm_per_unit / (every or 1)) * (every or 1))
            if every and off > SAME and spot not in known_spots:
                step = f"every {tidy(every / rules.cm_per_unit)} {rules.units}"
                return f"'{shown}': there is no mark, and nobody hangs there; marks are {step}"
        case Board():
            pin = parse_pin(spot)
            if pin is None or not _on_board(place, pin):
                return f"'{shown}': there is no such pin on board {place.name}; write one such as r2p5"
    return ""


def _pin_at(board: Board, pin: tuple[int, int]) -> tuple[float, float]:
    shift = 0.5 if board.pattern == "staggered" and pin[0] % 2 == 0 else 0.0
    return (pin[1] - 0.5 + shift) * board.pins_every, board.height - (pin[0] - 0.5) * board.pins_every


def _on_board(board: Board, pin: tuple[int, int]) -> bool:
    x, y = _pin_at(board, pin)
    return x < board.width - EDGE and y > EDGE


def spot_at(place: Place, spot: str, cm_per_unit: float) -> tuple[float, float, float]:
    """Where a spot of a line or board is: from the rack's left edge, before the wall, above the floor; cm."""
    left, front = place.left or 0.0, place.front or 0.0
    match place:
        case Line(height=height):
            return left + float(spot) * cm_per_unit, front, height
        case Board(bottom=bottom):
            pin = parse_pin(spot)
            assert pin is not None
            x, y = _pin_at(place, pin)
            return left + x, front, bottom + y
    raise ValueError(f"{place.name}: a {place.kind} has no spots")
