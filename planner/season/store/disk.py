"""Files made safe on a disk: written beside their place, synced, then put there in one step."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import secrets
import time
from pathlib import Path
from typing import BinaryIO

from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.store import written

TEMPORARY = ".{}.{}.hangplan-tmp"
TEMPORARY_OUTPUT = ".{}.{}.hangplan-out"  # another name: a store that clears up must not take it away
ABANDONED = 3600.0  # seconds after which an output that is still temporary was left by a program that died
LARGEST = 100_000_000  # bytes: more than any file of a season may have
_NO_SYNC = (errno.EINVAL, errno.ENOTSUP)  # a network drive that cannot sync a folder


PIECE = 1 << 20  # bytes
UNCHANGED = ". Nothing was changed"


class StoreError(Exception):
    """Nothing was written, unless the message says so; it names the file and what to do."""

    @property
    def fault(self) -> str:
        """The message without the promise, for where something else was changed by then."""
        return str(self).removesuffix(UNCHANGED)


def digest(data: bytes) -> str:
    """What tells whether a file has changed: the SHA-256 of its bytes in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def digest_of(path: Path) -> str | None:
    """Digest of what is there now; None: nothing. Raises StoreError."""
    data = read(path)
    return None if data is None else digest(data)


def read(path: Path) -> bytes | None:
    """What is there now; None: nothing. Raises StoreError."""
    try:
        if path.exists() and not path.is_file() and not path.is_dir():  # a pipe would be waited for
            raise StoreError(f"{path}: cannot be read: Not a file{UNCHANGED}")
        with path.open("rb") as file:
            data = read_most(file, LARGEST)
    except FileNotFoundError:
        return None
    except OSError as e:
        raise StoreError(f"{path}: cannot be read: {reason(e)}{UNCHANGED}") from None
    if len(data) > LARGEST:
        raise StoreError(f"{path}: no file of a season has more than {LARGEST} bytes{UNCHANGED}")
    return data


def read_most(file: BinaryIO, most: int) -> bytes:
    """What there is, but no more than ``most`` bytes and one: in pieces, for all at once is memory first."""
    parts, left = list[bytes](), most + 1
    while left and (part := file.read(min(left, PIECE))):
        parts.append(part)
        left -= len(part)
    return b"".join(parts)


def write_new(path: Path, data: bytes, mode: int | None = None) -> None:
    """Write a file that is not there yet and sync it; ``mode``: who may read it, before there is a byte."""
    with path.open("xb") as file:
        if mode is not None:
            path.chmod(mode)
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def mode_of(path: Path) -> int | None:
    """Who may read a file, or None where there is none."""
    return path.stat().st_mode & 0o777 if path.exists() else None


def put(path: Path, data: bytes, form: str = TEMPORARY, mode: int | None = None) -> None:
    """Write a temporary file beside ``path``, make it safe, and put it in the place of ``path``.

    ``mode``: who may read it; None: who may read the one that is there.
    """
    temporary = path.with_name(form.format(path.name, secrets.token_hex(4)))
    try:
        write_new(temporary, data, mode_of(path) if mode is None else mode)
        temporary.replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    sync_folder(path.parent)


def try_out(path: Path, size: int, form: str = TEMPORARY) -> None:
    """Find out whether ``path`` can be put there: write so many bytes beside it and take them away again.

    Raises OSError.
    """
    temporary = path.with_name(form.format(path.name, secrets.token_hex(4)))
    try:
        with temporary.open("xb", buffering=0) as file:
            file.write(bytes(size))
            os.fsync(file.fileno())  # a drive on the network tells only then
    finally:
        temporary.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Make a rename survive a power cut, where the system has a way to."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as e:
        if e.errno not in _NO_SYNC:
            raise
    finally:
        os.close(handle)


def write_output(path: Path, data: bytes) -> None:
    """Write a file that can be made again at any time: atomically, but without lock and history.

    Makes its folder if only that is missing. Raises StoreError.
    """
    try:
        path.parent.mkdir(exist_ok=True)
        _clear_abandoned(path)
        put(path, data, TEMPORARY_OUTPUT)
        written.note_file(path)
    except OSError as e:
        raise unwritten(path, e) from None


def try_output(path: Path, size: int) -> None:
    """Find out whether ``write_output`` can be done there. Raises StoreError as that does."""
    folder = path.parent
    missing = not folder.exists()
    try:
        folder.mkdir(exist_ok=True)
        try_out(path, size, TEMPORARY_OUTPUT)
    except OSError as e:
        raise unwritten(path, e) from None
    finally:
        if missing:
            with contextlib.suppress(OSError):
                folder.rmdir()


def _clear_abandoned(path: Path) -> None:
    """Remove what programs that were killed while writing this very file left beside it."""
    for left in path.parent.glob(TEMPORARY_OUTPUT.format("*", "*")):
        with contextlib.suppress(OSError):
            mine = left.name.startswith(f".{path.name}.")
            if mine and time.time() - left.stat().st_mtime > ABANDONED:
                left.unlink()


def reason(error: Exception) -> str:
    """Why, in the system's words."""
    return getattr(error, "strerror", None) or str(error)


def unwritten(path: Path, error: Exception) -> StoreError:
    """The error that says so."""
    files = [folder for folder in path.parents if folder.is_file()]
    why = f"{files[0]} is a file, not a folder" if files else reason(error)
    return StoreError(f"{path}: cannot be written: {why}{UNCHANGED}")


def read_bytes(folder: Path, name: str, largest: int) -> bytes | None:
    """A file's bytes, no more than ``largest`` and one, or None where there is none. Raises FaultyFiles."""
    path = folder / name
    try:
        if path.exists() and not path.is_file() and not path.is_dir():  # a pipe would be waited for
            raise FaultyFiles([Problem(name, 0, 0, "", "cannot be read: Not a file")])
        with path.open("rb") as file:
            return read_most(file, largest)
    except FileNotFoundError:
        return None
    except OSError as e:
        raise FaultyFiles([Problem(name, 0, 0, "", f"cannot be read: {e.strerror}")]) from None
