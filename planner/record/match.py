"""Pupae typed in that may be on record already."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from planner.record.near import NEAR, Points
from planner.record.newcomers import Newcomer, find_lid
from planner.season.places import Lid
from planner.season.pupae import Pupa
from planner.season.reading.scalars import tidy
from planner.season.season import Season
from planner.words import call

EXACT = 0.01  # cm: one point; refused where it is judged, in planner.season.validate


@dataclass(frozen=True)
class Sorted:
    """``new`` ones, ids ``known`` already, and ``doubts`` to tell."""

    new: tuple[Newcomer, ...]
    known: tuple[str, ...]
    doubts: tuple[str, ...]


def sort_out(season: Season, found: Sequence[Newcomer]) -> Sorted:
    """All that were typed are new; doubted where somebody on record is near the point, or not measured."""
    on_record = Points[Pupa]()
    unmeasured: dict[tuple[str, object], list[str]] = defaultdict(list)
    for p in season.pupae:
        if p.present and p.x is not None and p.y is not None:
            on_record.add(p.place, p.x, p.y, p)
        elif p.present:
            unmeasured[p.place, p.pupated].append(p.id)
    doubts: dict[str, None] = {}
    for one in found:
        lid = find_lid(season, one.lid)
        if not isinstance(lid, Lid):
            continue  # refused where it is judged
        if one.point is None:
            if same := unmeasured.get((lid.name, one.pupated)):
                which = f"{len(same)} of {one.pupated.told}" if one.pupated else f"{len(same)} still in a J"
                doubts[
                    f"{lid.name} has {which} already, not measured either: if these are the same, "
                    f"'{call('undo', season.folder)}' takes them back"
                ] = None
            continue
        x, y = (v * season.cm_per_unit for v in one.point)
        apart, near = min(on_record.near(lid.name, x, y), key=lambda pair: pair[0], default=(0.0, None))
        if near is not None and apart >= EXACT:
            at = f"{tidy(one.point[0])},{tidy(one.point[1])}"
            doubts[f"--at {at}: {near.id} is recorded within {season.length(NEAR)}: is it the same?"] = None
    return Sorted(tuple(found), (), tuple(doubts))
