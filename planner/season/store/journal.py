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

from planner.season.store.changes import Change, Touched, dump, parse
from planner.season.store.disk import (
    TEMPORARY,
    TEMPORARY_OUTPUT,
    StoreError,
    digest,
    digest_of,
    mode_of,
    put,
    read,
    sync_folder,
    write_new,
)
from planner.season.store.history import NOTE, kept_version

OWN = ".hangplan"
HISTORY = "history"
_STAGED = re.compile(r"\d{6,}-.+\.(?:old|new)")
Versions = Mapping[str, tuple[bytes | None, bytes | None]]  # by name: the bytes before and after


class EditedError(Exception):
    """A file of the change is not the one any more that was to be replaced; ``args``: its name."""


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
        if change.number == 1:  # the folders are as new as what is in them
            sync_folder(self.folder)
            with contextlib.suppress(PermissionError):  # not ours to look into
                sync_folder(self.folder.parent)

    def commit(self, change: Change) -> None:
        """Step 2. Raises OSError; where ``path`` is there nevertheless, the change may count as made."""
        put(self.path, dump(change))

    def finish(self, change: Change) -> None:
        """Steps 3 and 4, or the rest of them. Raises OSError, or EditedError: then ``take_back``."""
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
        now = digest_of(path)
        if now not in (file.before, file.after):  # no lock keeps a spreadsheet from saving
            raise EditedError(file.name)
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
            if file.after == file.before or digest_of(path) != file.after:
                continue  # nothing to restore, or it never got there, was restored, or was edited since
            if file.before is None:
                path.unlink(missing_ok=True)
            else:
                put(path, self._before(change, file))
        for file in change.files:
            kept_version(self.history, change, file).unlink(missing_ok=True)
        self.path.unlink()
        sync_folder(self.own)
        self.clear()

    def _before(self, change: Change, file: Touched) -> bytes:
        """The version before, from wherever it is by now."""
        for path in (kept_version(self.history, change, file), self._old(change, file)):
            data = read(path)
            if data is not None and digest(data) == file.before:
                return data
        raise StoreError(f"{self.folder / file.name}: the version before {change.title} is gone")

    def recover(self) -> str:
        """Finish a change that was interrupted, or drop it; say which. Raises OSError or StoreError."""
        change = self.pending()
        if change is None:
            self.clear()
            return ""
        edited = self._edited(change)
        if not (edited or change.dropped):
            try:
                self.finish(change)
            except EditedError as e:
                edited = str(e)
            else:
                self.clear()
                return f"{change.title} had been interrupted and is now carried out"
        self.take_back(change)
        why = f": {edited} was changed meanwhile" if edited else ""
        return f"{change.title} had been interrupted and was dropped{why}; record it again"

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
        for left in self.left():
            with contextlib.suppress(OSError):
                left.unlink()

    def left(self) -> list[Path]:
        """What is only there while a change is written. No command ever reads it without a journal."""
        found = [p for p in _files(self.own) if _STAGED.fullmatch(p.name)]
        for folder in (self.folder, self.own, self.history):
            for form in (TEMPORARY,) if folder == self.folder else (TEMPORARY, TEMPORARY_OUTPUT):
                found += folder.glob(form.format("*", "*"))
        return found

    def _old(self, change: Change, file: Touched) -> Path:
        return self.own / f"{change.number:06d}-{file.name}.old"

    def _new(self, change: Change, file: Touched) -> Path:
        return self.own / f"{change.number:06d}-{file.name}.new"


def _files(folder: Path) -> list[Path]:
    try:
        return list(folder.iterdir())
    except OSError:  # not there, or not ours to look into
        return []
