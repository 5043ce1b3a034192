"""``pupae.csv`` as a change begins: what it holds, whom it knows, and whom a call names."""

from __future__ import annotations

from collections.abc import Iterable

from planner.record.refusal import Refused
from planner.season.load import digest
from planner.season.places import Lid, fold
from planner.season.pupae import Pupa, table
from planner.season.reading.day_words import misread
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import did_you_mean
from planner.season.season import Season
from planner.season.store.disk import read_bytes
from planner.words import few_ids

LONGEST_NOTE = 500  # characters


def note_fits(note: str) -> bool:
    """Whether it goes into one cell that can be read."""
    return note.isprintable() and len(note) <= LONGEST_NOTE


def unchanged_pupae(season: Season) -> bytes:
    """What ``pupae.csv`` holds, to be written again with changes. Raises Refused if it is another by now."""
    before = read_bytes(season.folder, table.FILE, table.LARGEST) or b""
    if table.FILE in season.digests and season.digests[table.FILE] != digest(before):
        raise Refused([f"{table.FILE} was changed this moment by another program: try again"])
    return before


def no_such_pupa(season: Season, name: str, year: int) -> str:
    """What is said of an id that nobody has; ``year``: of a date that names none."""
    if told := misread(name, year, "--on"):
        return told
    word = shorten(name, 30)
    if place := next((p for p in season.places if fold(p.name) == fold(name)), None):
        return f"{place.name} is a {place.kind}: name the pupae by their ids"
    if hint := did_you_mean(name, [p.id for p in season.pupae]):
        return f"there is no pupa '{word}'{hint}"
    those = f": recorded are {few_ids([p.id for p in season.pupae])}" if season.pupae else ""
    return f"there is no pupa '{word}'{those}"


def with_note(pupa: Pupa, note: str) -> dict[str, str]:
    """The cell that keeps a pupa's note and adds another one; nothing where there is none to add."""
    if not note:
        return {}
    return {"note": f"{pupa.note}; {note}" if pupa.note else note}


def emptied_lids(season: Season, leaving: Iterable[str], to: Iterable[str] = ()) -> list[str]:
    """Lids on which nobody is left once these have left where ``season`` has them, ``to`` other places."""
    names = list(leaving)
    gone = set(names)
    left = {p.place for p in season.pupae if p.present and p.id not in gone} | set(to)
    lids = dict.fromkeys(season.pupa[name].place for name in names)
    return [name for name in lids if name not in left and isinstance(season.place.get(name), Lid)]
