"""What a program that died left: a change to be finished or dropped, and files that nobody reads any more."""

from __future__ import annotations

import contextlib
import time
from pathlib import Path

from planner.season.store.disk import StoreError
from planner.season.store.journal import Journal
from planner.season.store.store import BusyError, Store

RUNNING = 60.0  # seconds within which a change is written, even on a slow disk


def recover(folder: Path) -> str:
    """Finish or drop a change that a killed program left; say what was done, if anything was to do.

    Raises StoreError when that cannot be done here.
    """
    if not Journal(folder).path.exists():
        return ""
    store = Store(folder)
    try:
        with store.locked():
            return store.recovered
    except BusyError:
        raise
    except StoreError as e:
        how = "any hangplan command that may write into the folder finishes it"
        raise StoreError(f"{e}. A change was interrupted here: {how}") from None


def left_over(folder: Path) -> list[Path]:
    """What a program that died left before its change was made, and no running one can still need.

    Nobody ever reads it; the next that writes takes it away.
    """
    found = []
    for path in Journal(folder).left():
        with contextlib.suppress(OSError):
            if time.time() - path.stat().st_mtime > RUNNING:
                found.append(path)
    return sorted(found)
