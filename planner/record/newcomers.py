"""New rows for ``pupae.csv``: judged as part of the file they would make, then written under the lock."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count as count_from
from itertools import groupby, islice

from planner.emergence import faults
from planner.record.pupae_table import unchanged_pupae
from planner.record.refusal import Refused
from planner.record.would_be import judged
from planner.season.ids import next_ids
from planner.season.load import digest
from planner.season.places import Lid, fold
from planner.season.pupae import Pupa
from planner.season.pupae.record import Record
from planner.season.pupae.table import FILE
from planner.season.pupae.table_edits import append
from planner.season.reading.problems import Problem, shorten
from planner.season.reading.scalars import did_you_mean, tidy
from planner.season.reading.when import When
from planner.season.season import Season
from planner.season.store import Store

_OPTION = {"place": "--lid", "x": "--at", "y": "--at", "pupated": "--pupated", "species": "--species"}


@dataclass(frozen=True, kw_only=True)
class Newcomer:
    """One pupa to record. ``point``: x, y in the keeper's unit, or None when not measured.

    ``source``: where it was read, such as ``lid.txt:4:0``; empty: from the command line. ``any_date``: drawn
    without a date of its own. ``grid``: width and length of a piece of the drawing, cm.
    """

    lid: str
    pupated: When | None
    point: tuple[float, float] | None = None
    species: str = ""
    note: str = ""
    source: str = ""
    any_date: bool = False
    grid: tuple[float, float] | None = None


def record(season: Season, store: Store, found: Sequence[Newcomer], *, dry_run: bool = False) -> list[Pupa]:
    """Write the rows and return the pupae, or raise Refused with everything that speaks against them.

    ``season`` must have been opened under the store's lock, which is still held. With ``dry_run`` nothing is
    written and the ids are not the ones they would get.
    """
    before = unchanged_pupae(season)
    new, data = with_newcomers(season, before, found, None if dry_run else store)
    if not dry_run:
        store.write(FILE, data, expect=digest(before) if FILE in season.digests else None)
    return new


def with_newcomers(
    season: Season, before: bytes, found: Sequence[Newcomer], store: Store | None
) -> tuple[list[Pupa], bytes]:
    """The new pupae, and ``pupae.csv`` with their rows; Refused with everything that speaks against them.

    ``store``: reserves their ids, once nothing speaks against them; None: others stand for these.
    """
    lids = _lids(season, found)
    taken = {p.id.lower() for p in season.pupae}
    stand_in = list(islice((n for n in (f"new-{i}" for i in count_from(1)) if n not in taken), len(found)))
    old = len(season.pupae)
    would_be, problems = judged(season, append(before, _rows(found, lids, stand_in)))
    if faults := dict.fromkeys(_faults(season, would_be, problems, found)):
        raise Refused(list(faults))
    names = stand_in
    if store is not None:
        names = []
        for species, run in groupby(n.species or season.species for n in found):
            names += next_ids(store, season, species, len(list(run)))
    new = [
        replace(pupa, id=name, place=lids[one.lid].name)
        for pupa, name, one in zip(would_be.pupae[old:], names, found, strict=True)
    ]
    return new, append(before, _rows(found, lids, names))


def find_lid(season: Season, name: str) -> Lid | str:
    """The lid of that name, or why there is none."""
    place = next((p for p in season.places if fold(p.name) == fold(name.strip())), None)
    if isinstance(place, Lid):
        return place
    lids = [p.name for p in season.places if isinstance(p, Lid)]
    if place is not None:
        return f"{place.name} is a {place.kind}; lids are {', '.join(lids) or 'missing'}"
    hint = did_you_mean(name, lids) or f": lids are {', '.join(lids) or 'missing'}"
    return f"there is no lid '{shorten(name)}'{hint}"


def recorded_otherwise(one: Newcomer, pupa: Pupa) -> str:
    """What is said where a file gives somebody on record another date."""
    as_what = f"pupated {pupa.pupated.told}" if pupa.pupated else "a prepupa"
    return f"{one.source}: {pupa.id} is recorded there as {as_what}: mend one of the two"


def _lids(season: Season, found: Sequence[Newcomer]) -> dict[str, Lid]:
    lids = {name: find_lid(season, name) for name in dict.fromkeys(one.lid for one in found)}
    faults = [f"{n.source or '--lid'}: {what}" for n in found if isinstance(what := lids[n.lid], str)]
    if faults:
        raise Refused(list(dict.fromkeys(faults)))
    return {name: lid for name, lid in lids.items() if isinstance(lid, Lid)}


def _rows(found: Sequence[Newcomer], lids: dict[str, Lid], ids: Sequence[str]) -> list[dict[str, str]]:
    rows = []
    for one, name in zip(found, ids, strict=True):
        x, y = map(_written, one.point) if one.point else ("", "")
        rows.append(
            {
                "id": name,
                "species": one.species,
                "pupated": str(one.pupated or ""),
                "place": lids[one.lid].name,
                "x": x,
                "y": y,
                "note": one.note,
            }
        )
    return rows


def _written(number: float) -> str:
    """Shortest decimal form: a spreadsheet reads it as a number whatever its language when it is whole."""
    return tidy(number) if float(tidy(number)) == number else repr(number)


def _faults(
    season: Season, would_be: Record, problems: Sequence[Problem], found: Sequence[Newcomer]
) -> Iterator[Problem | str]:
    """Everything wrong with the file as it would be; faults of new rows by their option or source."""
    problems = problems or faults(replace(season, pupae=would_be.pupae))
    old = len(would_be.rows) - len(found)
    sources = {row.line: one.source for row, one in zip(would_be.rows[old:], found, strict=True)}
    for problem in problems:
        column, _, what = problem.what.partition(": ")
        if problem.file == FILE and problem.line in sources and what:
            source = sources[problem.line]
            yield f"{source}: {column}: {what}" if source else f"{_OPTION.get(column, column)}: {what}"
        else:
            yield problem
