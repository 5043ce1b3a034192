"""Changes of several files at once that are made wholly or not at all, whenever the program is killed.

1. The versions before and after are written into ``.hangplan`` and synced.
2. ``.hangplan/journal`` is put there in one step: from then on the change is made.
3. Each version before goes into the history, each version after into its place, by renaming.
4. The journal itself goes into the history, as the note of the change.

Whoever finds files of step 1 without a journal takes them away; whoever finds a journal goes on with step 3.
What cannot be gone on with, for a file was edited meanwhile, is marked as dropped in the journal and undone.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from planner.season.changes import Change, Touched, dump, parse
from planner.season.disk import (
    TEMPORARY,
    TEMPORARY_OUTPUT,
    StoreError,
    digest_of,
    mode_of,
    put,
    read,
    sync_folder,
    write_new,
)
from planner.season.history import NOTE, kept_version

OWN = ".hangplan"
HISTORY = "history"
_STAGED = re.compile(r"\d{6,}-.+\.(?:old|new)")
Versions = Mapping[str, tuple[bytes | None, bytes | None]]  # by name: the bytes before and after


class Journal:
    """The change under way in one season's folder. Only to be used under the season's lock."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.own = folder / OWN
        self.history = self.own / HISTORY
        self.path = self.own / "journal"

    def prepare(self, change: Change, versions: Versions) -> None:
        """Step 1. Raises OSError; ``clear`` then takes away what was written."""
        for file in change.files:
            old, new = versions[file.name]
            write_new(self._old(change, file), old or b"")
            write_new(self._new(change, file), new or b"", mode_of(self.folder / file.name))
        sync_folder(self.own)

    def commit(self, change: Change) -> None:
        """Step 2. Raises OSError; where ``path`` is there nevertheless, the change may count as made."""
        put(self.path, dump(change))

    def finish(self, change: Change) -> None:
        """Steps 3 and 4, or the rest of them. Raises OSError."""
        for file in change.files:
            if (old := self._old(change, file)).exists():
                old.replace(kept_version(self.history, change, file))
            self._put(change, file)
        sync_folder(self.history)
        sync_folder(self.folder)
        self.path.replace(self.history / f"{change.number:06d}{NOTE}")
        sync_folder(self.history)
        sync_folder(self.own)

    def _put(self, change: Change, file: Touched) -> None:
        new, path = self._new(change, file), self.folder / file.name
        if not new.exists():
            return
        if file.after is None:
            path.unlink(missing_ok=True)
            new.unlink()
        else:
            new.replace(path)

    def take_back(self, change: Change) -> None:
        """Undo as much of step 3 as was done, and forget the change. Raises OSError or StoreError."""
        if not change.dropped:
            change = replace(change, dropped=True)
            put(self.path, dump(change))  # or somebody who finds it half undone would finish it
        for file in change.files:
            path = self.folder / file.name
            if digest_of(path) != file.after:  # it never got there, was restored, or was edited since
                continue
            if file.before is None:
                path.unlink(missing_ok=True)
            else:
                old = read(kept_version(self.history, change, file))
                put(path, (read(self._old(change, file)) or b"") if old is None else old)
        for file in change.files:
            kept_version(self.history, change, file).unlink(missing_ok=True)
        self.path.unlink()
        sync_folder(self.own)
        self.clear()

    def recover(self) -> str:
        """Finish a change that was interrupted, or drop it; say which. Raises OSError or StoreError."""
        change = self.pending()
        if change is None:
            self.clear()
            return ""
        edited = self._edited(change)
        if edited or change.dropped:
            self.take_back(change)
            why = f": {edited} was changed meanwhile" if edited else ""
            return f"{change.title} had been interrupted and was dropped{why}; record it again"
        self.finish(change)
        self.clear()
        return f"{change.title} had been interrupted and is now carried out"

    def pending(self) -> Change | None:
        """The change in the journal. Raises StoreError when that cannot be understood."""
        data = read(self.path)
        if data is None:
            return None
        try:
            return parse(data)
        except ValueError as e:
            raise StoreError(
                f"{self.path}: {e}. Look whether the season's files are as you want them, then take this "
                "file away"
            ) from None

    def _edited(self, change: Change) -> str:
        """Which file that still waits for its new version is no longer the one that was to be replaced."""
        for file in change.files:
            new = self._new(change, file)
            if new.exists():
                damaged = file.after is not None and digest_of(new) != file.after
                if damaged or digest_of(self.folder / file.name) not in (file.before, file.after):
                    return file.name
        return ""

    def clear(self) -> None:
        """Remove what a program that was killed while writing left."""
        for folder in (self.folder, self.own, self.history):
            for form in (TEMPORARY,) if folder == self.folder else (TEMPORARY, TEMPORARY_OUTPUT):
                for left in folder.glob(form.format("*", "*")):
                    _remove(left)
        for left in self.own.iterdir():
            if _STAGED.fullmatch(left.name):
                _remove(left)

    def _old(self, change: Change, file: Touched) -> Path:
        return self.own / f"{change.number:06d}-{file.name}.old"

    def _new(self, change: Change, file: Touched) -> Path:
        return self.own / f"{change.number:06d}-{file.name}.new"


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink()
