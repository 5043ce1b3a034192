"""What ``calendar`` writes: the days to come, with what the file it replaces had said."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time
from pathlib import Path

from planner.cli.shell.talk import show, show_json, shown
from planner.follow.in_force import plan_that_holds
from planner.report.calendar_file import DARK, DUE, Entry, calendar_file, entries
from planner.season.reading.told_dates import whole_day
from planner.season.season import Season
from planner.season.season_id import season_id
from planner.season.store import write_output
from planner.words import count

LARGEST = 20_000_000  # bytes of a file that is to be replaced; a larger one is not looked into


def answer(
    season: Season, now: datetime, since: datetime, path: Path, alarms: Sequence[time], *, json_form: bool
) -> None:
    """Write the calendar to ``path``; ``alarms``: when it rings. ``since``: all were still hanging then."""
    plan, _ = plan_that_holds(season)
    own = season_id(season.folder)
    write_output(path, calendar_file(season, now, plan, _previous(path), since, own, alarms))
    found = entries(season, now, since)
    if json_form:
        show_json({"files": [str(path)], DUE: _ids(found, DUE), DARK: _ids(found, DARK), "problems": []})
        return
    rings = ", with alarms" if found and alarms else ""
    show(f"wrote {shown(path)}: {count(len(found), 'event')} from {whole_day(now)} on{rings}")
    show("Import it into your calendar, again after each change: events are replaced.")


def _previous(path: Path) -> bytes:
    try:
        return path.read_bytes() if path.stat().st_size <= LARGEST else b""
    except OSError:
        return b""


def _ids(found: list[Entry], kind: str) -> dict[str, list[str]]:
    return {e.day.isoformat(): [p.pupa.id for p in e.about] for e in found if e.kind == kind}
