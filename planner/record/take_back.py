"""Events taken from slips that a phone takes back: the record is then as if they had never been."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from planner.record.event import Recorded, TakenBack
from planner.record.refusal import Refused
from planner.record.taken import Cells, Entry, Log, about, counting
from planner.season.pupae import FORMED, table, table_edits


def taken_back(data: bytes, log: Log, events: Sequence[TakenBack]) -> bytes:
    """``pupae.csv`` without what these events wrote, or Refused where it was changed since."""
    problems: list[str] = []
    for event in events:
        entry = log.by_id.get(event.of)
        if entry is None or event.of in log.back or entry.now is None or entry.left_out:
            log = log.with_more([Entry({}, event)])
            continue
        row = table.texts(data).get(entry.pupa, {})
        if isinstance(entry.event, Recorded):
            against, data = _without_row(data, entry, row)
        else:
            changes, against = _without(log, entry, row)
            data = table_edits.change(data, {entry.pupa: changes}) if changes and not against else data
        problems += [against] if against else []
        log = log.with_more([Entry({}, event)])
    if problems:
        raise Refused(problems)
    return data


def _without_row(data: bytes, entry: Entry, row: Mapping[str, str]) -> tuple[str, bytes]:
    """Why a newcomer cannot be taken out again, or the file without it."""
    if entry.was is None or not row:
        return "", data  # it was on record before, or is not any more
    if any(row.get(column, "") != text for column, text in (entry.now or {}).items()):
        return _changed(entry, "more was recorded of it since"), data
    return "", table_edits.remove(data, [entry.pupa])


def _without(log: Log, entry: Entry, row: Mapping[str, str]) -> tuple[dict[str, str], str]:
    """The cells to write, and why they cannot be."""
    changes = dict(_without_note(entry, row))
    standing = log.standing(entry.pupa, entry.about)
    base = log.base(entry.pupa, entry.about)
    if entry.about == "note" or counting(standing) is not entry or base is None:
        return changes, ""
    then = counting(e for e in standing if e is not entry)
    now = _cells(entry.now)
    if any(row.get(column, "") != text for column, text in now.items()):
        return {}, _changed(entry, "that was changed since")
    new = _cells(base if then is None else then.now)
    columns = [c for c in now if then is None or c != FORMED]  # by another move that counts it left its lid
    return {column: new.get(column, base.get(column, "")) for column in columns} | changes, ""


def _cells(cells: Cells | None) -> dict[str, str]:
    return {column: text for column, text in (cells or {}).items() if column != "note"}


def _without_note(entry: Entry, row: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The note without what the event added to it, as long as that stands there."""
    added, before = (entry.now or {}).get("note", ""), (entry.was or {}).get("note", "")
    if entry.was is None or not added:
        return
    parts = row.get("note", "").split("; ")
    for part in added.removeprefix(before).removeprefix("; ").split("; "):
        if part in parts:
            parts.remove(part)
    yield "note", "; ".join(parts)


def _changed(entry: Entry, why: str) -> str:
    return (
        f"{entry.pupa}: '{about(entry.event)}' cannot be taken back, for {why}: change its row of pupae.csv"
    )
