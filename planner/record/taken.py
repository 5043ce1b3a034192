"""The log of what was taken from slips, ``taken.jsonl``: which events, and what each wrote.

By it an event that comes again is known, one that comes late finds its place among the others, and one that
is taken back leaves the record as if it had never been. It is written together with the record, and ``undo``
takes it back together with that.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from planner.record.event import Cleaned, Event, Marked, Moved, Noted, OfPupa, Pupated, Recorded, TakenBack
from planner.record.marks import DARKENING
from planner.record.written_event import Raw, event_of
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.store.disk import read_bytes

FILE = "taken.jsonl"
LARGEST = 20_000_000  # bytes
MAKE_ROOM = "move it elsewhere, once no phone holds events that were taken"
Cells = Mapping[str, str]


@dataclass(frozen=True)
class Entry:
    """One event taken.

    ``pupa``: its id on record, empty where it is of none. ``was``, ``now``: the cells of its row before and
    after it; ``was`` None where it changed nothing, for another event counts. ``left_out``: by the keeper's
    word.
    """

    raw: Raw
    event: Event
    pupa: str = ""
    was: Cells | None = None
    now: Cells | None = None
    left_out: bool = False

    @property
    def about(self) -> str:
        """Of several events about the same of one pupa only one counts: the last move, else the first."""
        return about(self.event)


def about(event: Event) -> str:
    """What of a pupa an event is about."""
    match event:
        case Moved():
            return "place"
        case Marked():
            return DARKENING if event.what == DARKENING else "outcome"
        case Pupated():
            return "pupated"
        case Cleaned():
            return "cleaned"
        case Noted():
            return "note"
        case Recorded():
            return "row"
    return ""


@dataclass(frozen=True)
class Log:
    """All that was taken, as it came."""

    entries: tuple[Entry, ...] = ()

    @cached_property
    def by_id(self) -> dict[str, Entry]:
        """The entries by the id of their event."""
        return {e.event.id: e for e in self.entries}

    @cached_property
    def by_pupa(self) -> dict[str, list[Entry]]:
        """The entries by the id of their pupa, as they came."""
        found: dict[str, list[Entry]] = {}
        for e in self.entries:
            found.setdefault(e.pupa, []).append(e)
        return found

    @cached_property
    def back(self) -> frozenset[str]:
        """Ids of the events that were taken back, also of some that have not come yet."""
        return frozenset(e.event.of for e in self.entries if isinstance(e.event, TakenBack))

    def standing(self, pupa: str, what: str) -> list[Entry]:
        """The entries about one thing of a pupa that were not taken back, as they came."""
        alike = (e for e in self.by_pupa.get(pupa, ()) if e.about == what)
        return [e for e in alike if e.now is not None and not e.left_out and e.event.id not in self.back]

    def base(self, pupa: str, what: str) -> Cells | None:
        """What the record held before those of them that stand; None where none of them changed it."""
        found, standing = None, set[str]()
        for e in self.entries:
            if isinstance(e.event, TakenBack):
                standing.discard(e.event.of)
                found = found if standing else None
            elif e.pupa == pupa and e.about == what and not e.left_out:
                standing.add(e.event.id)
                found = e.was if found is None else found
        return found

    def became(self, event: str) -> str:
        """The pupa on record that an event recorded; empty where it was not taken."""
        entry = self.by_id.get(event)
        return entry.pupa if entry and isinstance(entry.event, Recorded) else ""

    def with_more(self, entries: Iterable[Entry]) -> Log:
        """The same with what is taken now."""
        return Log((*self.entries, *entries))


def counting(entries: Iterable[Entry]) -> Entry | None:
    """The one entry that counts, of all about one thing of one pupa."""
    found = sorted(entries, key=lambda e: e.event.order)
    if not found:
        return None
    return found[-1] if isinstance(found[0].event, Moved) else found[0]


def read_log(folder: Path) -> Log:
    """The log of a season; an empty one where nothing was ever taken. Raises FaultyFiles."""
    data = read_bytes(folder, FILE, LARGEST) or b""
    if len(data) > LARGEST:  # not all of it was read
        raise FaultyFiles([Problem(FILE, 0, 0, "", f"has more than {LARGEST:,} bytes: {MAKE_ROOM}")])
    return parse(data)


def parse(data: bytes) -> Log:
    """Read the log's lines. Raises FaultyFiles with all that is wrong with them."""
    entries, problems = [], []
    for number, line in enumerate(data.decode("utf-8", errors="replace").splitlines(), start=1):
        try:
            entries.append(_entry(json.loads(line)))
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            what = "is no line of what was taken: 'hangplan undo' takes back what was written last"
            problems.append(Problem(FILE, number, 1, "", what))
    if problems:
        raise FaultyFiles(problems)
    return Log(tuple(entries))


def _entry(found: Any) -> Entry:
    device, raw = found.pop("device"), found.pop("event")
    for cells in (found.get("was") or {}, found.get("now") or {}):
        if not all(isinstance(t, str) for pair in cells.items() for t in pair):
            raise ValueError("no cells")
    return Entry(raw, event_of(raw, str(device)), **found)


def dump(log: Log) -> bytes:
    """The log as a line of JSON for each event, ASCII."""
    lines = []
    for e in log.entries:
        line: dict[str, Any] = {"event": e.raw, "device": e.event.device}
        line |= {"pupa": e.pupa} if e.pupa else {}
        line |= {name: cells for name, cells in (("was", e.was), ("now", e.now)) if cells is not None}
        line |= {"left_out": True} if e.left_out else {}
        lines.append(json.dumps(line, separators=(",", ":")) + "\n")
    return "".join(lines).encode()


def pupa_of(event: OfPupa, log: Log) -> str:
    """The id on record of the pupa that an event is about; empty where its newcomer is not on record."""
    return event.pupa if not event.pupa.startswith("+") else log.became(event.pupa[1:])
