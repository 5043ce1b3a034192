"""What this program has written since it began, for whoever must tell it when its answer cannot be shown."""

from __future__ import annotations

from pathlib import Path

_changes: list[str] = []
_files: list[Path] = []


def note_change(what: str) -> None:
    """Take note of a change of a season's files that is made: ``mark m1 emerged``."""
    _changes.append(what)


def note_file(path: Path) -> None:
    """Take note of an output that is in its place."""
    _files.append(path)


def forget() -> None:
    """Begin anew: a command starts."""
    _changes.clear()
    _files.clear()


def changes() -> list[str]:
    """What made each change since then, once."""
    return list(dict.fromkeys(_changes))


def files() -> list[Path]:
    """The outputs written since then, once."""
    return list(dict.fromkeys(_files))
