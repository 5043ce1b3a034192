"""What ``today`` and ``outlook`` end with: the file that was asked for, or the report with its notes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from planner.cli.shell.talk import show, show_json, show_notes, show_paragraph, shown
from planner.emergence import assumption
from planner.report.texts.sheet import Sheet
from planner.season.season import Season


def show_report_json(season: Season, data: dict[str, Any], notes: Sequence[str], path: Path | None) -> None:
    """Print a report for programs. ``path``: of the file written, if any."""
    files = [str(path)] if path else []
    show_json({**data, "notes": notes, "assumption": assumption(season), "files": files, "problems": []})


def show_report(
    season: Season, sheet: Sheet, notes: Sequence[str], path: Path | None, *, explain: bool = True
) -> None:
    """Print which file was written, or without one the report. ``explain``: and how its days are reckoned."""
    if path is not None:
        show(f"wrote {shown(path)}")
        return
    show(sheet)
    show_notes(notes)
    if explain:
        show_paragraph(f"Dates are reckoned by temperature: {assumption(season)}.")
