"""Writing a season's files: under a lock, atomically, with every previous version kept."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from planner.season.load import digest

OWN = ".hangplan"
PATIENCE = 10.0  # seconds to wait for another program that is writing here
_VERSION = re.compile(r"(\d{6,})-(.+)")
_TEMPORARY = ".{}.{}.hangplan-tmp"
_TEMPORARY_OUTPUT = ".{}.{}.hangplan-out"  # another name: a store that clears up must not take it away


class StoreError(Exception):
    """Nothing was written, unless the message says so; it names the file and what to do."""


class Store:
    """The files of one season's folder.

    ``.hangplan/history`` holds what each write replaced: ``000007-pupae.csv`` is the file before change 7,
    ``000007-pupae.csv.none`` says that there was none. Writes within one ``locked()`` are one change and
    share its number, so that they can be taken back together.
    """

    def __init__(self, folder: Path, patience: float = PATIENCE):
        self.folder = folder
        self.patience = patience
        self._depth = 0
        self._change: int | None = None

    @property
    def history(self) -> Path:
        """Where previous versions are."""
        return self.folder / OWN / "history"

    @contextmanager
    def locked(self) -> Iterator[None]:
        """Keep other programs from writing meanwhile; may be nested. Raises StoreError when one does."""
        if self._depth:
            yield
            return
        from filelock import FileLock, Timeout  # only here: who only reads need not wait for this import

        try:
            self._own_folder()
            lock = FileLock(self.folder / OWN / "lock", timeout=self.patience)
            lock.acquire()
        except Timeout:
            raise StoreError(
                f"{self.folder}: another program is changing this season (waited {self.patience:g} s): "
                "try again when it is done"
            ) from None
        except (OSError, NotImplementedError) as e:  # the second: a network drive without locks
            raise _error(self.folder, e) from None
        self._depth += 1
        try:
            self._clear_temporary()
            yield
        finally:
            self._depth -= 1
            self._change = None
            lock.release()

    def write(self, name: str, data: bytes, expect: str | None) -> None:
        """Replace one file of the folder by ``data``; the version before goes to the history.

        Parameters
        ----------
        name
            The file's name in the folder, without any path.
        expect
            Digest of the version that ``data`` was made from; None: there must be no such file yet.

        Raises
        ------
        StoreError
            The file was changed by somebody else, or cannot be written. The old version is then intact.
        """
        if Path(name).name != name or name in ("", ".", ".."):
            raise StoreError(f"{name}: not the name of a file in the season's folder")
        path = self.folder / name
        if path.is_symlink():
            raise StoreError(f"{path}: is a link to another place, which is not followed")
        with self.locked():
            old = _read(path)
            if (None if old is None else digest(old)) != expect:
                what = "somebody else has changed it meanwhile: nothing was written, try again"
                raise StoreError(f"{path}: {what}")
            if data == old:
                return
            kept = self._version(name, old)
            try:
                if kept is not None:
                    _replace(kept, old or b"")
                _replace(path, data)
            except BaseException as e:
                written = _read(path) == data
                if kept is not None and not written:
                    with contextlib.suppress(OSError):
                        kept.unlink()
                if not isinstance(e, OSError):
                    raise
                if written:
                    what = f"was written, but the disk does not confirm it: {_reason(e)}. Look at it"
                    raise StoreError(f"{path}: {what}") from None
                raise _error(path, e) from None

    def _version(self, name: str, old: bytes | None) -> Path | None:
        """Where the version before belongs, or None if this change has put one there already."""
        if self._change is None:
            self._change = 1 + max((n for n, _ in self.versions()), default=0)
        copy = self.history / f"{self._change:06d}-{name}"
        none = copy.with_name(copy.name + ".none")
        if copy.exists() or none.exists():
            return None
        return none if old is None else copy

    def versions(self) -> list[tuple[int, Path]]:
        """Every version kept, oldest change first, each with its change's number."""
        if not self.history.is_dir():
            return []
        found = ((_VERSION.fullmatch(p.name), p) for p in self.history.iterdir())
        return sorted((int(m[1]), p) for m, p in found if m)

    def _own_folder(self) -> None:
        if not self.folder.is_dir():
            raise StoreError(f"{self.folder}: there is no such folder")
        for path in (self.folder / OWN, self.history):
            if path.is_symlink():
                raise StoreError(f"{path}: is a link to another place, which is not followed")
            path.mkdir(exist_ok=True)

    def _clear_temporary(self) -> None:
        """Remove what a program that was killed while writing left; under the lock nobody else is writing."""
        for folder in (self.folder, self.folder / OWN, self.history):
            for left in folder.glob(_TEMPORARY.format("*", "*")):
                with contextlib.suppress(OSError):
                    left.unlink()


def write_output(path: Path, data: bytes) -> None:
    """Write a file that can be made again at any time: atomically, but without lock and history.

    Makes its folder if only that is missing. Raises StoreError.
    """
    try:
        path.parent.mkdir(exist_ok=True)
        _replace(path, data, _TEMPORARY_OUTPUT)
    except OSError as e:
        raise _error(path, e) from None


def _replace(path: Path, data: bytes, form: str = _TEMPORARY) -> None:
    """Write a temporary file beside ``path``, make it safe on disk, and put it in the place of ``path``."""
    temporary = path.with_name(form.format(path.name, secrets.token_hex(4)))
    try:
        with temporary.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            temporary.chmod(path.stat().st_mode & 0o777)
        temporary.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    """Make a rename survive a power cut, where the system has a way to."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _read(path: Path) -> bytes | None:
    """What is there now; None: nothing. Raises StoreError."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as e:
        raise StoreError(f"{path}: cannot be read: {_reason(e)}. Nothing was changed") from None


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or str(error)


def _error(path: Path, error: Exception) -> StoreError:
    return StoreError(f"{path}: cannot be written: {_reason(error)}. Nothing was changed")
