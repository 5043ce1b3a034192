"""An id of a season, made once and kept in its own folder: its name may change, or be that of another.

A copy of the folder has the same id; without the file it gets one of its own.
"""

from __future__ import annotations

import re
import secrets
from pathlib import Path

from planner.season.reading.problems import FaultyFiles
from planner.season.store import OWN, Store, StoreError
from planner.season.store.disk import put, read_bytes

FILE = "season-id"
_FORM = re.compile(r"[0-9a-f]{12}")


def season_id(folder: Path) -> str | None:
    """The id, made now if there is none; None where none can be kept, as on a folder that is read-only."""
    if known := kept_id(folder):
        return known
    try:
        with Store(folder).locked():
            if known := kept_id(folder):  # another program was first
                return known
            made = secrets.token_hex(6)
            put(folder / OWN / FILE, f"{made}\n".encode())
            return made
    except (StoreError, OSError):
        return None


def kept_id(folder: Path) -> str | None:
    """The id that a folder has already; None where it has none."""
    try:
        text = (read_bytes(folder / OWN, FILE, 100) or b"").decode("ascii").strip()
    except (OSError, ValueError, FaultyFiles):
        return None
    return text if _FORM.fullmatch(text) else None
