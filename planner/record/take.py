"""Slips taken into a season: each event once, in whatever order they come, wholly or not at all.

An event that comes late changes only what nothing later has changed: of several moves of a pupa the last
counts, of several sights of the same the first. Two that cannot both be true are told, and nothing is taken.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from planner.record import marks
from planner.record.apply import Cells, apply, cells_of
from planner.record.event import Cleaned, Event, Marked, Moved, OfPupa, Pupated, Recorded, TakenBack
from planner.record.newcomers import with_newcomers
from planner.record.recorded_twice import recorded_twice
from planner.record.refusal import Refused
from planner.record.slip import Slip
from planner.record.take_back import taken_back
from planner.record.taken import Entry, Log, about, pupa_of
from planner.record.written_event import NEW, Raw
from planner.season.pupae import Pupa, table
from planner.season.pupae.record import read_record
from planner.season.reading.told_dates import moment
from planner.season.season import Season
from planner.season.store import Store

Pairs = list[tuple[Raw, OfPupa]]
AHEAD = timedelta(minutes=15)  # of a phone's clock before the computer's


@dataclass(frozen=True)
class State:
    """A season, what its ``pupae.csv`` holds, and the log of what was taken into it."""

    season: Season
    data: bytes
    log: Log


@dataclass(frozen=True)
class Taken:
    """What slips make of a season.

    ``entries``: the events that are new; ``new``: the pupae recorded; ``already``: how many were taken
    before; ``cautions``: who was moved though it was not to be touched.
    """

    state: State
    entries: tuple[Entry, ...]
    new: tuple[Pupa, ...]
    already: int
    cautions: tuple[str, ...]


def take(
    state: State,
    slips: Sequence[Slip],
    now: datetime,
    *,
    store: Store | None = None,
    anyway: bool = False,
    without: Collection[str] = (),
) -> Taken:
    """What the slips make of a season, or Refused with everything that speaks against it.

    Parameters
    ----------
    store
        Gives newcomers their ids; None: others stand for them.
    anyway
        Moves of those that were not to be touched are recorded too.
    without
        Pupae of which nothing is taken.
    """
    fresh, already = _fresh(state.log, slips, now)
    before = len(state.log.entries)
    state = _without_taken_back(state, fresh)
    rest = [(raw, e) for raw, e in fresh if e.id not in state.log.by_id]
    state, new = _with_newcomers(state, [(raw, e) for raw, e in rest if isinstance(e, Recorded)], store)
    told = [(raw, _named(e, state.log, anyway=anyway)) for raw, e in rest if isinstance(e, OfPupa)]
    state, cautions = _with_what_happened(state, told, {name.lower() for name in without})
    ids = {p.id for p in new}
    recorded = tuple(p for p in state.season.pupae if p.id in ids)
    return Taken(state, state.log.entries[before:], recorded, already, cautions)


def _without_taken_back(state: State, fresh: Sequence[tuple[Raw, Event]]) -> State:
    """Without the events that are taken back; those of them that come only now are not taken at all."""
    back = [e for _, e in fresh if isinstance(e, TakenBack)]
    season, data = state.season, state.data
    if back:
        data = taken_back(data, state.log, back)
        season = replace(season, pupae=read_record(data, season.cm_per_unit, season.species).pupae)
    names = state.log.back | {e.of for e in back}
    entries = [Entry(raw, e) for raw, e in fresh if isinstance(e, TakenBack) or e.id in names]
    return State(season, data, state.log.with_more(entries))


def _with_newcomers(
    state: State, recorded: Sequence[tuple[Raw, Recorded]], store: Store | None
) -> tuple[State, list[Pupa]]:
    """With the newcomers, but those that another phone has recorded; and the pupae that are new."""
    if not recorded:
        return state, []
    season, data = state.season, state.data
    names = recorded_twice(season, [e for _, e in recorded], state.log)
    fresh = [e for _, e in recorded if e.id not in names]
    new: list[Pupa] = []
    if fresh:
        new, data = with_newcomers(season, data, [e.newcomer for e in fresh], store)
    made = {e.id: p.id for e, p in zip(fresh, new, strict=True)}
    names = made | {event: made.get(name.removeprefix(NEW), name) for event, name in names.items()}
    rows = table.texts(data) if made else {}
    entries = [
        Entry(raw, e, names[e.id], {}, rows[names[e.id]]) if e.id in made else Entry(raw, e, names[e.id])
        for raw, e in recorded
    ]
    season = replace(season, pupae=(*season.pupae, *new))
    return State(season, data, state.log.with_more(entries)), new


def _with_what_happened(state: State, told: Pairs, without: Collection[str]) -> tuple[State, tuple[str, ...]]:
    """With what was told of pupae on record; and who was moved though it was not to be touched."""
    season, log = state.season, state.log
    problems = [_unknown(e) for _, e in told if e.pupa not in season.pupa]
    wanted = [(raw, e) for raw, e in told if e.pupa in season.pupa and e.pupa.lower() not in without]
    counted, other, against = _sorted_out(season, log, wanted)
    try:
        applied = apply(season, state.data, [e for _, e in counted], [*problems, *against], late=True)
    except Refused as e:
        raise Refused([_by_whom(str(p), [e for _, e in wanted]) for p in e.told], typed=e.typed) from None
    entries = list(_entries(state.data, counted, applied.cells))
    entries += [Entry(raw, e, e.pupa, None, cells_of(season, season.pupa[e.pupa], e)) for raw, e in other]
    entries += [Entry(raw, e, e.pupa, left_out=True) for raw, e in told if e.pupa.lower() in without]
    entries.sort(key=lambda entry: entry.event.order)
    return State(applied.season, applied.data, log.with_more(entries)), applied.cautions


def _fresh(log: Log, slips: Sequence[Slip], now: datetime) -> tuple[list[tuple[Raw, Event]], int]:
    """The events that are new, each once and in the order of their time, and how many were taken before."""
    seen: dict[str, Raw] = {e.event.id: e.raw for e in log.entries}
    fresh, already, problems = [], set[str](), list[str]()
    for slip in slips:
        for raw, event in zip(slip.raw, slip.events, strict=True):
            if event.id in log.by_id:
                already.add(event.id)
            if (before := seen.setdefault(event.id, raw)) is not raw:
                if before != raw:
                    problems.append(f"{_told(event)}: was taken before with other words: ask who wrote it")
                continue
            if datetime.fromisoformat(event.at) > now + AHEAD:
                problems.append(f"{_told(event)}: is still to come, now is {moment(now)}: look at its clock")
            fresh.append((raw, event))
    if problems:
        raise Refused(dict.fromkeys(problems))
    return sorted(fresh, key=lambda pair: pair[1].order), len(already)


def _told(event: Event) -> str:
    """``phone k3f9a2, 12 Jul 20:10``."""
    return f"phone {event.device}, {moment(datetime.fromisoformat(event.at))}"


def _named(event: OfPupa, log: Log, *, anyway: bool) -> OfPupa:
    """The event with the id on record of its pupa, where it has one."""
    event = replace(event, pupa=pupa_of(event, log) or event.pupa)
    return replace(event, anyway=event.anyway or anyway) if isinstance(event, Moved) else event


def _unknown(event: OfPupa) -> str:
    if event.pupa.startswith(NEW):
        return f"{_told(event)}: tells of a newcomer that is in none of the slips: share all of it again"
    return f"{_told(event)}: there is no pupa '{event.pupa}'"


def _sorted_out(season: Season, log: Log, wanted: Pairs) -> tuple[Pairs, Pairs, list[str]]:
    """The events that count, those after or before which another one does, and what speaks against some."""
    counted: Pairs = []
    other: Pairs = []
    problems: list[str] = []
    for raw, e in wanted:
        pupa = season.pupa[e.pupa]
        what = about(e)
        before = [x.event for x in log.standing(e.pupa, what)]
        before += [x for _, x in counted if x.pupa == e.pupa and about(x) == what]
        if what == "outcome" and (ended := _outcome(pupa, before)) not in (None, getattr(e, "what", None)):
            problems += _ended_otherwise(pupa, e, before, str(ended))
        elif what == "note" or _counts(pupa, e, before):
            counted.append((raw, e))
        else:
            other.append((raw, e))
    return counted, other, problems


def _outcome(pupa: Pupa, before: Sequence[Event]) -> str | None:
    return pupa.outcome or next((e.what for e in before if isinstance(e, Marked)), None)


def _ended_otherwise(pupa: Pupa, event: OfPupa, before: Sequence[Event], ended: str) -> Iterator[str]:
    by = f" by {_told(before[0])}" if before else ""
    yield f"{pupa.id}: is recorded as {ended}{by}, and {_told(event)} says {getattr(event, 'what', '')}"


def _counts(pupa: Pupa, event: OfPupa, before: Sequence[Event]) -> bool:
    """Whether it changes the record: of moves the last does, of all else the first."""
    if isinstance(event, Moved):
        later = pupa.hung is not None and marks.certainly_before(event.when, pupa.hung)
        return not later and all(e.order < event.order for e in before)
    there = {Marked: pupa.ended, Pupated: pupa.pupated, Cleaned: pupa.cleaned}.get(type(event))
    if isinstance(event, Marked) and event.what == marks.DARKENING:
        there = pupa.darkening
    if isinstance(event, Pupated) and there and not before:
        return False  # the day on record was typed, or came with it
    if any(e.order < event.order for e in before):
        return False
    return there is None or marks.certainly_before(event.when, there)


def _entries(data: bytes, counted: Pairs, cells: Sequence[Cells]) -> Iterator[Entry]:
    rows = table.texts(data) if counted else {}
    for (raw, e), now in zip(counted, cells, strict=True):
        row = rows[e.pupa]
        yield Entry(raw, e, e.pupa, {column: row.get(column, "") for column in now}, dict(now))
        row |= now


def _by_whom(problem: str, events: Sequence[OfPupa]) -> str:
    """A problem of a pupa with who wrote of it last."""
    name, colon, _ = problem.partition(": ")
    last = next((e for e in reversed(events) if e.pupa == name), None)
    return f"{problem} ({_told(last)})" if colon and last and "phone " not in problem else problem
