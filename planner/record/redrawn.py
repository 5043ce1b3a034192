"""A lid drawn or measured again: which of its letters are on record, which are new, which are unclear.

A letter is held against everybody who was ever recorded on that lid: those still there, those hung elsewhere
since, those that ended. What may be either is asked back, and nothing is recorded.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from planner.record.match import EXACT, Sorted
from planner.record.near import NEAR, Points
from planner.record.newcomers import Newcomer, find_lid, recorded_otherwise
from planner.record.refusal import Refused
from planner.season.lists.sketch import PLAIN
from planner.season.places import Lid, fold
from planner.season.pupae import Pupa
from planner.season.reading.scalars import tidy
from planner.season.season import Season
from planner.words import count, few_ids

SAME_POINT = 0.015  # cm: what rounding does to a point that was drawn in the same grid


@dataclass(frozen=True)
class Trace:
    """A point of a lid where a pupa was recorded (cm, None: never measured). ``here``: it still is."""

    pupa: Pupa
    x: float | None
    y: float | None
    here: bool


@dataclass
class _Found:
    new: list[Newcomer] = field(default_factory=list)
    known: dict[str, None] = field(default_factory=dict)
    asked: list[tuple[Newcomer, list[Pupa]]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


def sort_drawn(season: Season, found: Sequence[Newcomer], *, anyway: bool = False) -> Sorted:
    """Part the letters of a sketch into who is new and who is known.

    Raises Refused where a letter gives somebody on record another date, and, unless ``anyway``, where it may
    be somebody on record or may not. With ``anyway`` such a letter is new.
    """
    lid = find_lid(season, found[0].lid)
    if not isinstance(lid, Lid):
        return Sorted(tuple(found), (), ())  # refused where it is judged
    traces = traces_on(season, lid)
    matched = _match(season, found, traces)
    result = _Found()
    rest: list[Newcomer] = []
    for i, one in enumerate(found):
        if i in matched and _formed_later(one, traces[matched[i]]):
            del matched[i]
        if i in matched:
            _judge(one, traces[matched[i]], result)
        else:
            rest.append(one)
    drawn = {traces[k].pupa.id for k in matched.values()}
    unseen = [t for t in traces if t.pupa.id not in drawn]
    strays = [p for p in season.pupae if p.formed is None and not isinstance(season.place[p.place], Lid)]
    _judge_rest(season, rest, unseen, strays, result, whole=bool(result.known))
    if result.faults:
        raise Refused(result.faults)
    if result.asked and not anyway:
        raise Refused(list(_question(season, lid, result)))
    new = [*result.new, *(one for one, _ in result.asked)]
    order = {id(one): i for i, one in enumerate(found)}
    return Sorted(tuple(sorted(new, key=lambda one: order[id(one)])), tuple(result.known), ())


def traces_on(season: Season, lid: Lid) -> list[Trace]:
    """Every point of a lid where anybody was ever recorded, as far as the record says."""
    found = []
    for p in season.pupae:
        if p.place == lid.name:
            found.append(Trace(p, p.x, p.y, p.present))
        if p.formed and fold(p.formed.lid) == fold(lid.name):
            there = p.place == lid.name and p.x is not None and p.formed.x is not None
            if (
                not there
                or math.hypot((p.x or 0) - (p.formed.x or 0), (p.y or 0) - (p.formed.y or 0)) > EXACT
            ):
                found.append(Trace(p, p.formed.x, p.formed.y, here=False))
    return found


def _match(season: Season, found: Sequence[Newcomer], traces: Sequence[Trace]) -> dict[int, int]:
    """Letter → trace, each at most once, the nearest first.

    At one point whoever was recorded there; up to NEAR apart only who is still there and may be the one.
    """
    points = Points[int]()
    for k, trace in enumerate(traces):
        if trace.x is not None and trace.y is not None:
            points.add("", trace.x, trace.y, k)  # all on one lid
    pairs = []
    for i, one in enumerate(found):
        for apart, k in points.near("", *_at(season, one)):
            trace = traces[k]
            same = _same_day(trace.pupa, one) or (one.any_date and trace.here)
            if apart <= SAME_POINT or (trace.here and same):
                pairs.append((apart > SAME_POINT, not same, not trace.here, apart, i, k))
    matched: dict[int, int] = {}
    used = set[int]()
    for *_, i, k in sorted(pairs):
        if i not in matched and k not in used:
            matched[i] = k
            used.add(k)
    return matched


def _formed_later(one: Newcomer, trace: Trace) -> bool:
    """Whether it formed at a point that another had left by then: it is not that one."""
    if trace.here or one.any_date or one.pupated is None or _same_day(trace.pupa, one):
        return False
    left = _left(trace.pupa)
    return left is not None and one.pupated.day >= left


def _judge(one: Newcomer, trace: Trace, result: _Found) -> None:
    """Sort in a letter drawn where somebody was recorded."""
    pupa = trace.pupa
    if _same_day(pupa, one) or (one.any_date and trace.here):
        result.known[pupa.id] = None
    elif trace.here:
        result.faults.append(recorded_otherwise(one, pupa))
    else:
        result.asked.append((one, [pupa]))


def _judge_rest(
    season: Season,
    rest: Sequence[Newcomer],
    unseen: Sequence[Trace],
    strays: Sequence[Pupa],
    result: _Found,
    *,
    whole: bool,
) -> None:
    """Sort in the letters drawn where nobody was recorded.

    A letter with a date may be anybody of that day who is not drawn. An x may be anybody at all: it is asked
    for only where there is one for each who is still there and not drawn, as when all of a lid is drawn again
    in another grid, and where somebody who is gone was recorded in another grid or never measured.

    ``whole``: some letter is drawn just where somebody is recorded, so that it is the same grid.
    """
    plain = sum(one.any_date for one in rest)
    here = [t for t in unseen if t.here]
    gone = [t for t in unseen if not t.here]
    if whole:
        here, gone = ([t for t in those if not _in_grid(t, rest)] for those in (here, gone))
    else:
        gone = [t for t in gone if not _in_grid(t, rest)]
    for one in rest:
        x, y = _at(season, one)
        if one.any_date:
            enough = plain >= len(here)
            rivals = [t.pupa for t in (*here, *gone)] if enough else []
        else:
            rivals = [t.pupa for t in unseen if _may_be(t, one, (x, y), rest)]
            rivals += [p for p in strays if _same_day(p, one)]
        rivals += [
            t.pupa for t in unseen
            if t.here and t.x is not None and math.hypot(t.x - x, (t.y or 0.0) - y) <= NEAR
        ]  # fmt: skip
        if rivals:
            result.asked.append((one, list({p.id: p for p in rivals}.values())))
        else:
            result.new.append(one)


def _may_be(trace: Trace, one: Newcomer, at: tuple[float, float], rest: Sequence[Newcomer]) -> bool:
    """Whether a letter with a date (None: a prepupa), drawn elsewhere, may be that pupa all the same."""
    if _same_day(trace.pupa, one):
        return True
    if _in_grid(trace, rest):
        return False
    if trace.pupa.pupated is None:
        return True  # recorded hanging in a J, drawn with a date since
    if one.pupated is not None or one.grid is None or trace.x is None or trace.y is None:
        return False
    near = zip(at, (trace.x, trace.y), one.grid, strict=True)  # drawn in a J as before, dated since
    return all(abs(a - b) <= step for a, b, step in near)


def _in_grid(trace: Trace, rest: Sequence[Newcomer]) -> bool:
    """Whether it was recorded in the middle of a piece of this grid: then another piece is another pupa."""
    grid = rest[0].grid if rest else None
    if grid is None or trace.x is None or trace.y is None:
        return False
    return all(
        abs(v / step - 0.5 - round(v / step - 0.5)) * step <= SAME_POINT
        for v, step in zip((trace.x, trace.y), grid, strict=True)
    )


def _question(season: Season, lid: Lid, result: _Found) -> Iterator[str]:
    """What was understood, what is unclear, and what to type."""
    groups: defaultdict[tuple[str, ...], list[Newcomer]] = defaultdict(list)
    who: dict[str, Pupa] = {}
    for one, rivals in result.asked:
        groups[tuple(p.id for p in rivals)].append(one)
        who |= {p.id: p for p in rivals}
    known = f"{few_ids(list(result.known))} on record already, " if result.known else ""
    unclear = count(len(result.asked), "letter")
    yield f"{lid.name}: {known}{len(result.new)} new, {unclear} unclear: nothing was recorded"
    for ids, ones in groups.items():
        first = ones[0]
        more = f" and {count(len(ones) - 1, 'more letter')}" if len(ones) > 1 else ""
        dated = "x" if first.any_date else f"of {first.pupated.day}" if first.pupated else "in a J"
        there = whereabouts(season, [who[i] for i in ids])
        yield f"{first.source}{more} ({dated}): may be {few_ids(list(ids))}, {there}"
    plain = any(one.any_date for one, _ in result.asked)
    how = f"; where x is new, write its date above ({PLAIN} = 2027-07-03)" if plain else ""
    how += ". If all these are new, --anyway records them as drawn"
    yield f"delete the letters of those on record{how}"


def whereabouts(season: Season, those: Sequence[Pupa]) -> str:
    """Where they are now, in a few words."""
    found: dict[str, None] = {}
    for p in those:
        if p.outcome:
            found[p.outcome] = None
        else:
            on_lid = isinstance(season.place[p.place], Lid)
            found[f"recorded on {p.place}" if on_lid else f"hung on {p.place} since"] = None
    words = list(found)
    return " or ".join(words if len(words) <= 3 else [*words[:3], "elsewhere"])


def typed_again(season: Season, found: Sequence[Newcomer]) -> list[str]:
    """Points typed at which somebody of that day formed who is gone: the same, or another?"""
    questions = []
    for one in found:
        lid = find_lid(season, one.lid)
        if one.source or one.point is None or not isinstance(lid, Lid):
            continue
        x, y = _at(season, one)
        for t in traces_on(season, lid):
            at_it = t.x is not None and t.y is not None and math.hypot(t.x - x, t.y - y) <= NEAR
            if at_it and not t.here and _same_day(t.pupa, one):
                at = f"{tidy(one.point[0])},{tidy(one.point[1])}"
                when = f"of {one.pupated.day}" if one.pupated else "in a J"
                questions.append(
                    f"--at {at}: {t.pupa.id} {when} was recorded there, {whereabouts(season, [t.pupa])}. If "
                    "this is another one, --anyway records it"
                )
                break
    return questions


def _at(season: Season, one: Newcomer) -> tuple[float, float]:
    x, y = one.point or (0.0, 0.0)
    return x * season.cm_per_unit, y * season.cm_per_unit


def _left(pupa: Pupa) -> date | None:
    """The day from which somebody else may have formed where it was."""
    gone = pupa.hung if pupa.formed else pupa.ended
    return gone.day if gone else None


def _same_day(pupa: Pupa, one: Newcomer) -> bool:
    if one.any_date and not (pupa.pupated and one.pupated):
        return False
    return (pupa.pupated and pupa.pupated.day) == (one.pupated and one.pupated.day)
