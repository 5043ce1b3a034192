"""Events applied to a season: all of them, or none and everything that speaks against it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.emergence import forecasts
from planner.record import cleaned, marks
from planner.record.event import Cleaned, Marked, Moved, Noted, OfPupa, Pupated
from planner.record.pupae_table import with_note
from planner.record.refusal import Refused
from planner.record.steps_done import ANYWAY, Hung, cells, forbidden, formed, gone, no_spot_for, spots_taken
from planner.record.would_be import judged
from planner.season.places import Lid
from planner.season.pupae import Pupa, table_edits
from planner.season.pupae.record import read_record
from planner.season.reading.problems import Problem
from planner.season.season import Season

Cells = Mapping[str, str]  # column → text


@dataclass(frozen=True)
class Applied:
    """``season`` and ``data`` (pupae.csv) as the events leave them; ``cells``: what each event wrote.

    ``cautions``: who was moved though it was not to be touched.
    """

    season: Season
    data: bytes
    cells: tuple[Cells, ...]
    cautions: tuple[str, ...]


def apply(
    season: Season, data: bytes, events: Sequence[OfPupa], problems: Sequence[str] = (), *, late: bool = False
) -> Applied:
    """What the events make of a season whose ``pupae.csv`` holds ``data``.

    They are applied in the order given. Spots are judged once all of them are: two pupae may change places.

    Parameters
    ----------
    problems
        What speaks against them besides: names that nobody has.
    late
        They may come after others that happened later: each is judged by what was recorded of its own time.

    Raises
    ------
    Refused
        With everything that speaks against any of them.
    """
    found, harmful, cautions, written = list[str](), list[str](), list[str](), list[Cells]()
    state, rest = season, list(events)
    while rest:
        part = _of_different_pupae(rest)
        del rest[: len(part)]
        changes = {}
        for one, pupa in ((e, _then(state.pupa[e.pupa], e, late=late)) for e in part):
            found += _against(state, pupa, one)
            harm = list(_harm(state, pupa, one))
            cautions += harm
            harmful += [] if isinstance(one, Moved) and one.anyway else harm
            changes[one.pupa] = cells_of(state, pupa, one)
            written.append(changes[one.pupa])
        data = table_edits.change(data, changes)
        if rest:
            state = replace(state, pupae=read_record(data, season.cm_per_unit, season.species).pupae)
    found += [*problems, *harmful]
    if not found and data:
        state, faults = _as_it_would_be(season, data, events)
        found += faults
    if found:
        raise Refused(dict.fromkeys(found), typed=[ANYWAY] if harmful else [])
    return Applied(state, data, tuple(written), tuple(cautions))


def _of_different_pupae(events: Sequence[OfPupa]) -> list[OfPupa]:
    """As many of the first ones as are of different pupae: none changes what another is judged by."""
    seen, found = set[str](), list[OfPupa]()
    for one in events:
        if one.pupa in seen:
            break
        seen.add(one.pupa)
        found.append(one)
    return found


def _then(pupa: Pupa, event: OfPupa, *, late: bool) -> Pupa:
    """A pupa by what is recorded of the time before the event; where none can be ``late``, by all of it."""
    if not late:
        return pupa
    if pupa.ended and marks.certainly_before(event.when, pupa.ended):
        pupa = replace(pupa, outcome=None, ended=None)
    ends = (
        isinstance(event, Marked) and event.what != marks.DARKENING
    )  # who was out cannot have darkened later
    if pupa.darkening and not ends and marks.certainly_before(event.when, pupa.darkening):
        pupa = replace(pupa, darkening=None)
    if pupa.cleaned and marks.certainly_before(event.when, pupa.cleaned):
        pupa = replace(pupa, cleaned=None)
    return pupa


def _against(season: Season, pupa: Pupa, event: OfPupa) -> Iterator[str]:
    """Why it cannot be so."""
    match event:
        case Moved():
            yield from gone(pupa)
        case Marked():
            yield from marks.refusals(season, pupa, event.what, event.when, typed=not event.device)
        case Pupated():
            yield from marks.against_pupated(pupa, event.when)
        case Cleaned():
            yield from cleaned.against(pupa, event.when)


def _harm(season: Season, pupa: Pupa, event: OfPupa) -> Iterator[str]:
    """Why it was not to be done; that it was is recorded where the keeper says so."""
    if isinstance(event, Moved) and pupa.present:
        known = forecasts(replace(season, pupae=(pupa,)), event.when.latest)
        yield from forbidden(pupa, known.get(pupa.id), event.when)


def cells_of(season: Season, pupa: Pupa, event: OfPupa) -> Cells:
    """What to write into its row."""
    match event:
        case Moved():
            hung = Hung(event.pupa, event.place, event.spot)
            lid = isinstance(season.place.get(event.place), Lid)
            return cells(hung, event.when, lid) | formed(season, pupa)
        case Marked():
            return marks.cells(pupa, event.what, event.when, event.note)
        case Pupated():
            return marks.date_cells("pupated", event.when) | with_note(pupa, event.note)
        case Cleaned():
            return cleaned.cells(pupa, event.when, event.note)
        case Noted():
            return with_note(pupa, event.note)
    raise TypeError(event)


def _as_it_would_be(season: Season, data: bytes, events: Sequence[OfPupa]) -> tuple[Season, list[str]]:
    """The season with the new record, and what would be wrong with it: above all spots that are taken."""
    would_be, problems = judged(season, data)
    after = replace(season, pupae=would_be.pupae)
    names = {e.pupa for e in events}
    moved = {e.pupa: e for e in events if isinstance(e, Moved)}
    taken = spots_taken(after) if moved else {}
    there = [(after.pupa[e.pupa], e) for e in moved.values() if after.pupa[e.pupa].present]
    # As it is read back: in a table with decimal commas 40,5 is 40.5.
    hung = [(Hung(p.id, e.place, p.spot or e.spot), e.anyway) for p, e in there]
    spots = [why for h, anyway in hung if (why := no_spot_for(after, h, taken, anyway=anyway))]

    def told(p: Problem) -> str:
        return f"{p.where}: {p.what.partition(': ')[2] or p.what}" if p.where in names else str(p)

    return after, spots or [told(p) for p in problems]
