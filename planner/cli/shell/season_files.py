"""Opening a season for a command: all faults of all files first, then whether its plan may be shown."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from planner.cli.shell.chosen_season import refuse_if_gone
from planner.cli.shell.options import date_style, this_year
from planner.cli.shell.talk import tell, usage
from planner.emergence import faults, known_species
from planner.record.refusal import Refused
from planner.season import settings
from planner.season.load import load
from planner.season.reading.day_words import misread
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.reading.scalars import did_you_mean
from planner.season.reading.told_dates import tell_dates_as
from planner.season.reading.told_words import tell_pupae_as
from planner.season.season import Season
from planner.season.store import OWN, recover

T = TypeVar("T")
TRIES = 20


def open_season(folder: Path) -> Season:
    """Load a season that can be forecast.

    Raises FaultyFiles with all problems of ``season.yaml``, ``pupae.csv``, ``learned.yaml`` and the
    temperatures.
    """

    require_season(folder)
    season = steady(folder, lambda: load(folder, known_species()))
    tell_dates_as(date_style(season))
    entry = season.profiles.get(season.species)
    tell_pupae_as(entry.word if entry else None, [season.name, *season.place])
    if found := faults(season):
        raise FaultyFiles(found)
    return season


def steady(folder: Path, read: Callable[[], T]) -> T:
    """Read several files as they belong together: again, where a change was written meanwhile."""
    for _ in range(TRIES):
        before = _last_change(folder)
        found = read()
        if _last_change(folder) == before:
            break
        finish_interrupted(folder)
    return found


def _last_change(folder: Path) -> int:
    """Differs before and after any change: its journal comes into that folder and leaves it."""
    try:
        return (folder / OWN).stat().st_mtime_ns
    except OSError:
        return 0


def finish_interrupted(folder: Path) -> None:
    """Finish a change that a killed command left, and say so. Raises StoreError where that cannot be."""
    if told := recover(folder):
        tell(f"{folder}: {told}")


def require_season(folder: Path, year: int | None = None) -> None:
    """Refuse a folder that is no season, before anything is put into it; finish what was interrupted.

    ``year``: of a date that was typed where the folder goes, and names none; the clock's where None.
    """
    try:
        Path.cwd()
    except FileNotFoundError:
        if not folder.is_absolute():
            what = "the folder you stand in is gone: go to another one, or name the season from the root"
            raise Refused([what]) from None
    finish_interrupted(folder)
    if folder.is_symlink() and not folder.exists():
        raise FaultyFiles([Problem(str(folder), 0, 0, "", "is a link that leads nowhere")])
    if folder.is_dir() and not (folder / settings.FILE).exists():
        refuse_if_gone(folder)
        what = f"there is no season in {_named(folder)}: 'hangplan new FOLDER' writes one to start from"
        raise FaultyFiles([Problem(settings.FILE, 0, 0, "", what)])
    if not folder.exists():
        if told := misread(str(folder), year or this_year(None), "--on"):
            usage(told)
        refuse_if_gone(folder)
        what = "there is no such folder: a season is a folder, and this names none"
        if near := did_you_mean(folder.name, _seasons_beside(folder)):
            what = f"there is no such folder{near}"
        elif Path(settings.FILE).exists():
            what = "there is no such folder, and only the season's folder is understood in this place"
        raise FaultyFiles([Problem(str(folder), 0, 0, "", what)])


def _seasons_beside(folder: Path) -> list[str]:
    try:
        return [one.name for one in sorted(folder.parent.iterdir()) if (one / settings.FILE).exists()]
    except OSError:
        return []


def _named(folder: Path) -> str:
    return "this folder" if folder == Path() else str(folder)
