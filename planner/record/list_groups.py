"""The rows of a list by lid, species and day, each group held against those on record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import date

from planner.record.near import Points
from planner.record.newcomers import Newcomer
from planner.season.places import Lid, fold
from planner.season.pupae import Pupa
from planner.season.season import Season

Key = tuple[str, str, date | None]  # lid of origin, species, day of pupation (None: a prepupa)


@dataclass
class Group:
    """Rows of one lid, species and day.

    ``before`` formed there by the record; ``known`` of them are rows of the list. ``rivals`` may be some of
    the ``new`` rows.
    """

    key: Key
    rows: list[Newcomer]
    before: list[Pupa]
    known: list[Pupa] = field(default_factory=list)
    new: list[Newcomer] = field(default_factory=list)
    rivals: list[Pupa] = field(default_factory=list)
    by_count: list[Pupa] = field(default_factory=list)  # those known only by how many there are

    @property
    def unclear(self) -> bool:
        """Whether some of the new ones may be on record."""
        return bool(self.new and self.rivals)


def lid_name(lid: Lid | str) -> str:
    """Its name, also of one that there is not."""
    return lid.name if isinstance(lid, Lid) else lid


def group_rows(
    season: Season, found: Sequence[Newcomer], lids: Mapping[str, Lid | str]
) -> tuple[list[Group], list[Pupa]]:
    """The groups of the list, and those on record of whom nobody knows where they formed."""
    rows: defaultdict[Key, list[Newcomer]] = defaultdict(list)
    for one in found:
        species = (one.species or season.species).lower()
        rows[lid_name(lids[one.lid]), species, one.pupated.day if one.pupated else None].append(one)
    before: defaultdict[Key, list[Pupa]] = defaultdict(list)
    strays = []
    for pupa in season.pupae:
        if key := key_of(season, pupa):
            before[key].append(pupa)
        else:
            strays.append(pupa)
    return [Group(key, ones, before[key]) for key, ones in rows.items()], strays


def key_of(season: Season, pupa: Pupa) -> Key | None:
    """The group to which one on record belongs; None where its lid of origin is not on record."""
    name = pupa.formed.lid if pupa.formed else pupa.place
    lid = next((p for p in season.places if fold(p.name) == fold(name)), None)
    if not pupa.formed and not isinstance(lid, Lid):
        return None
    return lid.name if lid else name, pupa.species.lower(), pupa.pupated.day if pupa.pupated else None


def match_group(season: Season, group: Group, listed: AbstractSet[str]) -> None:
    """Find who of the group is on record: by point, then by note, then by how many there are."""
    by_point = _at_points(season, group)
    group.known += by_point.values()
    taken = {p.id for p in by_point.values()}
    # Who came from this list comes first, so that one recorded otherwise stays over.
    left = {p.id: p for p in sorted(group.before, key=lambda p: p.id not in listed) if p.id not in taken}
    rest = [one for i, one in enumerate(group.rows) if i not in by_point]
    counted = [one for one in rest if one.point is None]
    noted: defaultdict[str, list[Pupa]] = defaultdict(list)
    for p in reversed(left.values()) if any(one.note for one in counted) else ():
        for note in {p.note, *_beginnings(p.note)} - {""}:
            noted[note].append(p)
    other = []
    for one in counted:
        same = noted.get(one.note, [])
        while same and same[-1].id not in left:
            same.pop()
        if one.note and same:
            group.known.append(left.pop(same.pop().id))
        else:
            other.append(one)
    measured = len(rest) - len(counted)
    if not any(one.note for one in other) and len(other) <= len(left) and not measured:
        sure, other = list(left.values())[: len(other)], []
        group.known += sure
        group.by_count = list(sure)
        for p in sure:
            del left[p.id]
    elif other:
        group.rivals += left.values()
    else:
        group.rivals += [p for p in left.values() if _origin(p) is None]
    open_rows = {id(one) for one in other} | {id(one) for one in rest if one.point is not None}
    group.new = [one for one in group.rows if id(one) in open_rows]


def _beginnings(note: str) -> Iterator[str]:
    """What a note may have been before others were put behind it."""
    for i, letter in enumerate(note):
        if letter == ";":
            yield note[:i]


def _origin(pupa: Pupa) -> tuple[float, float] | None:
    """Where on its lid it formed, cm; None where that was not measured."""
    x, y = (pupa.formed.x, pupa.formed.y) if pupa.formed else (pupa.x, pupa.y)
    return None if x is None or y is None else (x, y)


def _at_points(season: Season, group: Group) -> dict[int, Pupa]:
    """Row → who formed within NEAR of its point, each at most once, the nearest first."""
    before = Points[Pupa]()
    if any(one.point for one in group.rows):
        for p in group.before:
            if at := _origin(p):
                before.add("", *at, p)  # all of one lid
    pairs = []
    for i, one in enumerate(group.rows):
        if one.point is not None:
            x, y = (v * season.cm_per_unit for v in one.point)
            pairs += [(apart, i, p.id, p) for apart, p in before.near("", x, y)]
    found: dict[int, Pupa] = {}
    used = set[str]()
    for _, i, name, p in sorted(pairs, key=lambda pair: pair[:3]):
        if i not in found and name not in used:
            found[i] = p
            used.add(name)
    return found
