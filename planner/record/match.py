"""Newcomers that are on record already: nobody is recorded twice because a lid was drawn twice."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from planner.record.newcomers import Newcomer, find_lid
from planner.record.refusal import Refused
from planner.season.places import Lid
from planner.season.pupae import Pupa
from planner.season.scalars import tidy
from planner.season.season import Season
from planner.words import call

NEAR = 1.0  # cm: a drawing is no better than this, and two pupae are hardly closer
EXACT = 0.01  # cm: one point; refused where it is judged, in planner.season.validate


@dataclass(frozen=True)
class Sorted:
    """``new`` ones, ids ``known`` already, and ``doubts`` to tell."""

    new: tuple[Newcomer, ...]
    known: tuple[str, ...]
    doubts: tuple[str, ...]


def sort_out(season: Season, found: Sequence[Newcomer]) -> Sorted:
    """Part who is new from who is known. From a file the known are passed over; a point typed is doubted.

    Raises Refused where a file gives somebody on record another date, or two of its rows one point.
    """
    on_record: dict[tuple[str, int, int], list[Pupa]] = defaultdict(list)
    unmeasured: dict[tuple[str, object], list[str]] = defaultdict(list)
    for p in season.pupae:
        if p.present and p.x is not None and p.y is not None:
            on_record[p.place, math.floor(p.x / NEAR), math.floor(p.y / NEAR)].append(p)
        elif p.present:
            unmeasured[p.place, p.pupated].append(p.id)
    new: list[Newcomer] = []
    known: dict[str, None] = {}
    doubts: dict[str, None] = {}
    faults: list[str] = []
    first: dict[tuple[str, float, float], str] = {}
    for one in found:
        lid = find_lid(season, one.lid)
        if not isinstance(lid, Lid):
            new.append(one)  # refused where it is judged
            continue
        if one.point is None:
            if same := unmeasured.get((lid.name, one.pupated)):
                which = f"{len(same)} of {one.pupated}" if one.pupated else f"{len(same)} still in a J"
                doubts[
                    f"{lid.name} has {which} already, not measured either: if these are the same, "
                    f"'{call('undo', season.folder)}' takes them back"
                ] = None
            new.append(one)
            continue
        point = (lid.name, round(one.point[0], 2), round(one.point[1], 2))
        if one.source and (other := first.setdefault(point, one.source)) != one.source:
            faults.append(f"{one.source}: the same point as in {other}")
        x, y = (v * season.cm_per_unit for v in one.point)
        near = _near(on_record, lid, x, y)
        if near is None:
            new.append(one)
        elif not one.source:
            new.append(one)
            if _distance(near, x, y) >= EXACT:
                at = f"{tidy(one.point[0])},{tidy(one.point[1])}"
                doubts[f"--at {at}: {near.id} is recorded within {NEAR:g} cm: is it the same?"] = None
        elif one.any_date or _same_day(near, one):
            known[near.id] = None
        else:
            as_what = f"pupated {near.pupated}" if near.pupated else "a prepupa"
            faults.append(f"{one.source}: {near.id} is recorded there as {as_what}: mend one of the two")
    if faults:
        raise Refused(faults)
    return Sorted(tuple(new), tuple(known), tuple(doubts))


def _same_day(pupa: Pupa, one: Newcomer) -> bool:
    return (pupa.pupated and pupa.pupated.day) == (one.pupated and one.pupated.day)


def _near(on_record: dict[tuple[str, int, int], list[Pupa]], lid: Lid, x: float, y: float) -> Pupa | None:
    """Who is nearest within NEAR."""
    i, j = math.floor(x / NEAR), math.floor(y / NEAR)
    cells = ((lid.name, i + a, j + b) for a in (-1, 0, 1) for b in (-1, 0, 1))
    those = [p for cell in cells for p in on_record.get(cell, ()) if _distance(p, x, y) <= NEAR]
    return min(those, key=lambda p: _distance(p, x, y), default=None)


def _distance(pupa: Pupa, x: float, y: float) -> float:
    return math.hypot((pupa.x or 0.0) - x, (pupa.y or 0.0) - y)
