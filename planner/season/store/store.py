"""The files of a season's folder, and changes to them."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from planner.season.reading.problems import shorten
from planner.season.store import history, written
from planner.season.store.changes import LONGEST, Change, Touched, is_name, now
from planner.season.store.disk import (
    StoreError,
    digest,
    digest_of,
    read,
    reason,
    try_out,
    unwritten,
)
from planner.season.store.journal import OWN, EditedError, Journal

if TYPE_CHECKING:
    from filelock import BaseFileLock

PATIENCE = 10.0  # seconds to wait for another program that is writing here


class BusyError(StoreError):
    """Another program is writing here, and for long."""


class Store:
    """The files of one season's folder.

    Writes within one ``locked()`` are one change: they are made at its end, all of them or none, also when
    the program is killed at any moment. ``.hangplan/history`` then holds a note of the change and what each
    write replaced: ``000007-pupae.csv`` is the file before change 7, ``000007-pupae.csv.none`` says that
    there was none, ``000007.change`` what it was (see `planner.season.store.changes`).

    ``recovered``: empty, or what the last ``locked()`` found interrupted, and what became of it.
    """

    def __init__(self, folder: Path, patience: float = PATIENCE):
        self.folder = folder
        self.patience = patience
        self.recovered = ""
        self._journal = Journal(folder)
        self._locked = False
        self._writes: dict[str, tuple[bytes | None, bytes | None]] = {}
        self.describe("")

    @property
    def history(self) -> Path:
        """Where previous versions are."""
        return self._journal.history

    @contextmanager
    def locked(self, what: str = "") -> Iterator[None]:
        """Keep other programs from writing meanwhile, and write all that is written within at the end.

        Where an exception ends the block, nothing is written. May be nested: the outermost counts.

        Parameters
        ----------
        what
            The command that makes the change, as it is noted in the history: ``mark m1 emerged``.

        Raises
        ------
        StoreError
            Another program is writing here, or the change cannot be written.
        """
        if self._locked:
            if not self._what:
                self.describe(what)
            yield
            return
        lock = self._acquire()
        self._locked = True
        self.describe(what)
        try:
            self.recovered = self._recover()
            yield
            self._commit()
        finally:
            self._locked = False
            self._writes.clear()
            lock.release()

    def describe(
        self,
        what: str,
        *,
        undoes: int | None = None,
        redoes: int | None = None,
        goes_with: int | None = None,
    ) -> None:
        """Say what makes the change, where that is known only within ``locked()``."""
        self._what = shorten(what, LONGEST)
        self._undoes, self._redoes, self._goes_with = undoes, redoes, goes_with

    def write(self, name: str, data: bytes | None, expect: str | None) -> None:
        """Replace one file of the folder by ``data``; the version before goes to the history.

        Within ``locked()`` it is written at the end of that.

        Parameters
        ----------
        name
            The file's name in the folder, without any path.
        data
            Its new content; None takes the file away.
        expect
            Digest of the version that ``data`` was made from; None: there must be no such file yet.

        Raises
        ------
        StoreError
            The file was changed by somebody else, or cannot be written. The old version is then intact.
        """
        if not is_name(name):
            raise StoreError(f"{name}: not the name of a file in the season's folder")
        path = self.folder / name
        if path.is_symlink():
            raise StoreError(f"{path}: is a link to another place, which is not followed")
        with self.locked():
            first, last = self._writes[name] if name in self._writes else (read(path),) * 2
            if _digest(last) != expect:
                raise self._meanwhile(name)
            self._writes[name] = first, data

    def try_out(self, name: str, size: int) -> None:
        """Find out whether a file of so many bytes can be written, before it is known what.

        Raises StoreError, as ``write`` does: the folder is read-only, the disk full, another program writes.
        """
        path = self.folder / name
        if path.is_symlink():
            raise StoreError(f"{path}: is a link to another place, which is not followed")
        with self.locked():
            try:
                for folder in (self.history, self._journal.own, self.folder):
                    try_out(folder / name, size)
            except OSError as e:
                raise unwritten(path, e) from None

    def versions(self) -> list[tuple[int, Path]]:
        """Every version kept, oldest change first, each with its change's number."""
        return history.versions(self.history)

    def _acquire(self) -> BaseFileLock:
        from filelock import FileLock, Timeout  # only here: who only reads need not wait for this import

        try:
            self._own_folder()
            lock = FileLock(self.folder / OWN / "lock", timeout=self.patience)
            lock.acquire()
        except Timeout:
            raise BusyError(
                f"{self.folder}: another program is changing this season (waited {self.patience:g} s): "
                "try again when it is done"
            ) from None
        except (OSError, NotImplementedError) as e:  # the second: a network drive without locks
            raise unwritten(self.folder, e) from None
        return lock

    def _recover(self) -> str:
        try:
            return self._journal.recover()
        except OSError as e:
            change = self._journal.pending()
            about = f": {change.title} was interrupted and cannot be finished" if change else ""
            raise StoreError(f"{self.folder}{about}: {reason(e)}. Mend that and try again") from None

    def _commit(self) -> None:
        """Write what was written within the lock."""
        back = self._undoes is not None or self._redoes is not None  # noted even where nothing changes
        versions = {name: (old, new) for name, (old, new) in self._writes.items() if back or old != new}
        if not versions:
            return
        change = Change(
            number=1 + history.last_number(self.history),
            what=self._what,
            when=now(),
            files=tuple(
                Touched(name=n, before=_digest(old), after=_digest(new)) for n, (old, new) in versions.items()
            ),
            undoes=self._undoes,
            redoes=self._redoes,
            goes_with=self._goes_with,
        )
        for file in change.files:
            if digest_of(self.folder / file.name) != file.before:
                raise self._meanwhile(file.name)
        try:
            self._journal.prepare(change, versions)
            self._journal.commit(change)
        except BaseException as e:
            self._forget()
            if not isinstance(e, OSError):
                raise
            raise self._error(change, e) from None
        try:
            self._journal.finish(change)
        except EditedError as e:
            raise self._edited(change, str(e)) from None
        except OSError as e:
            raise self._unfinished(change, e) from None
        if change.goes_with is None:  # else it is one with the change before
            written.note_change(change.what or "the change")
        history.prune(self.history)

    def _forget(self) -> None:
        """Take away what was prepared for a change that is not made."""
        with contextlib.suppress(OSError):
            self._journal.path.unlink(missing_ok=True)
            self._journal.clear()

    def _unfinished(self, change: Change, error: OSError) -> StoreError:
        """Take back what was committed but could not be put in its place; what to say of it."""
        path = self._place(change, error)
        if self._written(change):
            what = f"was written, but the disk does not confirm it: {reason(error)}. Look at it"
            return StoreError(f"{path}: {what}")
        with contextlib.suppress(OSError, StoreError):
            self._journal.take_back(change)
        return self._error(change, error)

    def _written(self, change: Change) -> bool:
        try:
            return all(digest_of(self.folder / f.name) == f.after for f in change.files)
        except StoreError:
            return False

    def _edited(self, change: Change, name: str) -> StoreError:
        """Take back a change of which somebody has edited a file by hand; what to say of it."""
        try:
            self._journal.take_back(change)
        except OSError as e:
            return self._error(change, e)
        return self._meanwhile(name)

    def _error(self, change: Change, error: OSError) -> StoreError:
        path = self._place(change, error)
        if not self._journal.path.exists():
            return unwritten(path, error)
        what = f"was interrupted, for {path} cannot be written: {reason(error)}"
        return StoreError(f"{self.folder}: {change.title} {what}. The next hangplan command carries it out")

    def _place(self, change: Change, error: OSError) -> Path:
        """The file of the change that an error is about; the first where it does not say."""
        paths = [self.folder / name for name in change.names]
        told = [Path(str(name)) for name in (error.filename2, error.filename) if name]
        return next((path for path in told if path in paths), paths[0])

    def _meanwhile(self, name: str) -> StoreError:
        what = "somebody else has changed it meanwhile: nothing was written, try again"
        return StoreError(f"{self.folder / name}: {what}")

    def _own_folder(self) -> None:
        if not self.folder.is_dir():
            raise StoreError(f"{self.folder}: there is no such folder")
        for path in (self.folder / OWN, self.history):
            if path.is_symlink():
                raise StoreError(f"{path}: is a link to another place, which is not followed")
            path.mkdir(exist_ok=True)


def _digest(data: bytes | None) -> str | None:
    return None if data is None else digest(data)
