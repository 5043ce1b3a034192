"""New rows for ``pupae.csv``: judged as part of the file they would make, then written under the lock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count as count_from
from itertools import islice

from planner.cli.talk import Refused
from planner.season.fields import did_you_mean, tidy
from planner.season.ids import next_ids
from planner.season.load import digest, read_bytes
from planner.season.places import Lid, fold
from planner.season.problems import Problem, shorten
from planner.season.pupae import Pupa
from planner.season.record import Record, read_record
from planner.season.season import Season
from planner.season.settings import FILE as SETTINGS
from planner.season.settings import read_settings
from planner.season.store import Store
from planner.season.table import FILE, LARGEST, append
from planner.season.validate import validate
from planner.season.when import When
from planner.season.yaml_text import LARGEST as LARGEST_SETTINGS

_OPTION = {"place": "--lid", "x": "--at", "y": "--at", "pupated": "--pupated", "species": "--species"}


@dataclass(frozen=True, kw_only=True)
class Newcomers:
    """Pupae found together. ``points``: x, y in the keeper's unit, one each, or none when not measured."""

    count: int
    lid: str
    pupated: When | None
    points: Sequence[tuple[float, float]] = ()
    species: str = ""
    note: str = ""


def record(season: Season, store: Store, found: Newcomers) -> list[Pupa]:
    """Write the rows and return the pupae, or raise Refused with everything that speaks against them.

    ``season`` must have been opened under the store's lock, which is still held.
    """
    place = _lid(season, found.lid)
    before = read_bytes(store.folder, FILE, LARGEST) or b""
    if FILE in season.digests and season.digests[FILE] != digest(before):
        raise Refused([f"{FILE} was changed this moment by another program: try again"])
    # Ids are reserved only once nothing speaks against the rows: until then others stand for them.
    taken = {p.id.lower() for p in season.pupae}
    stand_in = list(islice((n for n in (f"new-{i}" for i in count_from(1)) if n not in taken), found.count))
    old = len(season.pupae)
    would_be = read_record(
        append(before, list(_rows(found, place, stand_in))), season.cm_per_unit, season.species
    )
    if faults := dict.fromkeys(_faults(season, would_be, old)):
        raise Refused(list(faults))
    ids = next_ids(store, season, found.species or season.species, found.count)
    data = append(before, list(_rows(found, place, ids)))
    store.write(FILE, data, expect=digest(before) if FILE in season.digests else None)
    return [
        replace(pupa, id=name, place=place.name) for pupa, name in zip(would_be.pupae[old:], ids, strict=True)
    ]


def _lid(season: Season, name: str) -> Lid:
    place = next((p for p in season.places if fold(p.name) == fold(name.strip())), None)
    if isinstance(place, Lid):
        return place
    lids = [p.name for p in season.places if isinstance(p, Lid)]
    if place is not None:
        raise Refused([f"--lid: {place.name} is a {place.kind}; lids are {', '.join(lids) or 'missing'}"])
    hint = did_you_mean(name, lids) or f": lids are {', '.join(lids) or 'missing'}"
    raise Refused([f"--lid: there is no lid '{shorten(name)}'{hint}"])


def _rows(found: Newcomers, place: Lid, ids: Iterable[str]) -> Iterator[dict[str, str]]:
    for i, name in enumerate(ids):
        x, y = map(_written, found.points[i]) if found.points else ("", "")
        yield {
            "id": name,
            "species": found.species,
            "pupated": str(found.pupated or ""),
            "place": place.name,
            "x": x,
            "y": y,
            "note": found.note,
        }


def _written(number: float) -> str:
    """Shortest decimal form: a spreadsheet reads it as a number whatever its language when it is whole."""
    return tidy(number) if float(tidy(number)) == number else repr(number)


def _faults(season: Season, would_be: Record, old: int) -> Iterator[Problem | str]:
    """Everything wrong with the file as it would be; faults of new rows (after ``old``) by their option."""
    from planner.emergence import faults, known_species

    known = frozenset(known_species())
    text = read_bytes(season.folder, SETTINGS, LARGEST_SETTINGS) or b""
    stated, report = read_settings(text, season.folder, known)
    problems = [*report.problems, *would_be.problems, *validate(stated, would_be, known)]
    if not problems:
        problems += faults(replace(season, pupae=would_be.pupae))
    lines = {row.line for row in would_be.rows[old:]}
    for problem in problems:
        column, _, what = problem.what.partition(": ")
        ours = problem.file == FILE and problem.line in lines
        yield f"{_OPTION.get(column, column)}: {what}" if ours and what else problem
