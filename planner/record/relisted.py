"""A keeper's list read again: which of its rows are on record, which are new, which are unclear.

The rows of one lid, species and day are held, as a multiset, against everybody who ever formed there: those
hung elsewhere since, emerged and dead included. A row with a point is held against the points first. What
may be either is asked back, and nothing is recorded.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date

from planner.record.list_groups import Group, Key, group_rows, key_of, lid_name, match_group
from planner.record.list_questions import known_doubt, list_question
from planner.record.match import Sorted
from planner.record.near import Points
from planner.record.newcomers import Newcomer, find_lid, recorded_otherwise
from planner.record.refusal import Refused
from planner.season.places import Lid
from planner.season.pupae import Pupa
from planner.season.season import Season


@dataclass(frozen=True)
class Listed:
    """Ids that came from lists with the same ``columns`` (None: not noted), and from the ``same_file``."""

    columns: AbstractSet[str] | None = None
    same_file: AbstractSet[str] = frozenset()


def sort_listed(season: Season, found: Sequence[Newcomer], before: Listed, *, anyway: bool = False) -> Sorted:
    """Part the rows of a list into who is new and who is known.

    Raises Refused where a row gives somebody on record another date, and, unless ``anyway``, where it may be
    somebody on record or may not. With ``anyway`` all rows of a group that is unclear are new; so are all
    rows of a list that is wholly on record.
    """
    lids = {name: find_lid(season, name) for name in {one.lid for one in found}}
    if not all(isinstance(lid, Lid) for lid in lids.values()):
        return Sorted(tuple(found), (), ())  # refused where it is judged
    faults = list(_same_points(found, lids))
    groups, strays = group_rows(season, found, lids)
    for group in groups:
        match_group(season, group, before.columns or frozenset())
    if faults := [*faults, *_redated(season, groups)]:
        raise Refused(faults)
    _find_rivals(season, groups, strays, before)
    unclear = [group for group in groups if group.unclear]
    if unclear and not anyway:
        raise Refused(list(list_question(season, groups, unclear)))
    again = anyway and not any(group.new for group in groups)
    new = {id(one) for g in groups for one in (g.rows if again else g.new)}
    known = {p.id: None for g in groups if not again for p in g.known}
    others = [g for g in groups if not again and any(p.id not in before.same_file for p in g.by_count)]
    return Sorted(tuple(o for o in found if id(o) in new), tuple(known), tuple(known_doubt(season, others)))


def _same_points(found: Sequence[Newcomer], lids: Mapping[str, Lid | str]) -> Iterator[str]:
    """Rows that put two pupae in one point."""
    first: dict[tuple[str, float, float], str] = {}
    for one in found:
        if one.point is not None:
            point = (lid_name(lids[one.lid]), round(one.point[0], 2), round(one.point[1], 2))
            if (other := first.setdefault(point, one.source)) != one.source:
                yield f"{one.source}: the same point as in {other}"


def _redated(season: Season, groups: Sequence[Group]) -> Iterator[str]:
    """Rows that give somebody still on the lid another date."""
    here = Points[Pupa]()
    for p in season.pupae:
        if p.present and p.x is not None and p.y is not None:
            here.add(p.place, p.x, p.y, p)
    for group in groups:
        for one in group.new:
            if one.point is None:
                continue
            x, y = (v * season.cm_per_unit for v in one.point)
            for _, p in here.near(group.key[0], x, y):
                if (p.pupated.day if p.pupated else None) != group.key[2]:
                    yield recorded_otherwise(one, p)
                    break


def _find_rivals(season: Season, groups: Sequence[Group], strays: Sequence[Pupa], before: Listed) -> None:
    """Find who on record, of another group or of no lid, may be a new row all the same.

    One whose lid is not known may be any of its species and day. One that came from such a list, and that
    this list has not, may be a row in which lid, species, day or point was mended since, if it had not left
    before that day; but only where this list was read before.
    """
    matched = {p.id for g in groups for p in g.known}
    loose: defaultdict[tuple[object, ...], list[Pupa]] = defaultdict(list)
    for p in season.pupae if matched or before.same_file else ():
        key = key_of(season, p)
        if p.id not in matched and (before.columns is None or p.id in before.columns):
            for alike in _alike(key or ("", p.species.lower(), p.pupated.day if p.pupated else None)):
                loose[alike].append(p)
    by_kind: defaultdict[tuple[str, date | None], list[Pupa]] = defaultdict(list)
    for p in strays:
        by_kind[p.species.lower(), p.pupated.day if p.pupated else None].append(p)
    for group in groups:
        if not group.new:
            continue
        group.rivals += by_kind.get(group.key[1:], ())
        for alike in () if group.rivals else (*_alike(group.key), *_alike(("", *group.key[1:]))):
            group.rivals += [p for p in loose.get(alike, ()) if not _left_before(p, group.key[2])]
        group.rivals = list({p.id: p for p in group.rivals}.values())


def _alike(key: Key) -> Iterator[tuple[object, ...]]:
    """What two groups have in common that differ in one of lid, species and day at most."""
    for i in range(len(key)):
        yield (i, *key[:i], *key[i + 1 :])


def _left_before(pupa: Pupa, day: date | None) -> bool:
    """Whether it was hung away, or ended, before the day on which a row says that one formed."""
    gone = [when.day for when in (pupa.hung if pupa.formed else None, pupa.ended) if when]
    return day is not None and bool(gone) and min(gone) < day
