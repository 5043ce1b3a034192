"""The day sheet on a terminal: the sections of a day, and how to record what is done."""

from __future__ import annotations

import shlex
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from planner.follow.day import Day
from planner.report.texts.day_sections import MOST_NAMES, every_section, halves, summary, title
from planner.report.texts.sheet import Block, Sheet, Table, Words
from planner.report.texts.text import CAUTION
from planner.season.places import Lid
from planner.section import Section
from planner.words import ids


def sheet(day: Day, everything: bool = False, notes: Sequence[str] = (), *, explain: bool = False) -> Sheet:
    """All sections, and how to record what is done.

    Parameters
    ----------
    everything
        A row for each pupa; else those of one lid that are alike share a row.
    notes
        What else should be known, a sentence each.
    explain
        Also on what the chances rest.
    """
    parts: list[Iterable[Block]] = [[Words(title(day), tone="head"), Words(summary(day))]]
    names = None if everything else MOST_NAMES
    due, *listed, untouched = every_section(day, names)
    if due.rows:  # the second line says so where there are none
        note = " ".join(filter(None, [due.note, halves(day)])) if explain else ""
        listed.insert(0, replace(due, note=note))
    parts += [_blocks(day, section, everything) for section in listed if section.rows or section.note]
    parts.append(Words(f"Do not touch {who}: {why}.", hang="  ") for why, who in untouched.rows)
    parts.append(Words(text, hang="  ") for text in notes)
    if day.all:
        parts.append([_to_record(day), Words(CAUTION)])
    return Sheet.of(parts)


def _blocks(day: Day, section: Section, everything: bool) -> Iterator[Block]:
    if not section.rows:
        yield Words(f"{section.title}. {section.note}", hang="  ")
        return
    yield Words(section.title, tone="warn" if section.title.startswith("Overdue") else "head")
    if section.note:
        yield Words(section.note, "  ")
    rows = section.rows if everything else _grouped(day, section)
    rest = "" if everything else "--all shows them"
    yield Table(section.head, rows, section.wide, "  ", warn=section.warn, rest=rest)


def _grouped(day: Day, section: Section) -> tuple[tuple[str, ...], ...]:
    """Rows that differ by the pupa and its point on a lid only, as one row."""
    if not {"pupa", "hangs"} <= set(section.head) or "to" in section.head:
        return section.rows
    name, hangs_at = section.head.index("pupa"), section.head.index("hangs")
    alike: defaultdict[tuple[str, ...], list[tuple[str, ...]]] = defaultdict(list)
    for row in section.rows:
        pupa = day.season.pupa[row[name]]
        place = day.season.place[pupa.place]
        at = pupa.place if isinstance(place, Lid) else row[hangs_at]
        alike[("", *row[1:hangs_at], at, *row[hangs_at + 1 :])].append(row)
    return tuple(
        rows[0] if len(rows) == 1 else (ids(row[name] for row in rows), *key[1:])
        for key, rows in alike.items()
    )


def _to_record(day: Day) -> Words:
    """How to type it, for those who have done so often the first to be left out where a screen is full."""
    later = [m.pupa for m in day.steps]
    first = next((p.pupa.id for p in (*day.due, *day.overdue, *day.all)), "")
    lines = [(mark(day.season.folder, [first], "emerged"), "or darkening, failed, ...")]
    if moved := next((m.pupa for m, _ in day.moves), later[0] if later else ""):
        lines.insert(0, (_typed(day.season.folder, "done", [moved]), "once it hangs there"))
    longest = max(len(command) for command, _ in lines)
    typed = [f"  {command:<{longest}}  {when}" for command, when in lines]
    return Words("\n".join(["To record", *typed]), whole=True, spare=1)


def mark(folder: Path, pupae: Sequence[str], what: str) -> str:
    """How to type it: ``hangplan mark m1 m2 emerged porch``."""
    return _typed(folder, "mark", [*pupae, what])


def _typed(folder: Path, command: str, words: Sequence[str]) -> str:
    season = [] if folder == Path() else [shlex.quote(str(folder))]
    return " ".join(["hangplan", command, *words, *season])
