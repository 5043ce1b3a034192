"""Standard streams that never fail: what cannot be shown is noted, and told when all is done.

A command that has recorded something must not fail because nobody reads its answer: whoever then repeats it
records it twice. So a write that fails, for a full disk, a closed pipe or a closed stream, stops nothing.
"""

from __future__ import annotations

import errno
import io
import os
import select
import sys
from contextlib import suppress
from typing import Any, TextIO

FAULTY = 1  # as planner.cli.shell.talk has it; this is loaded before all else, so it loads nothing itself


class SafeOutput(io.RawIOBase):
    """The bytes of a stream; ``fault``: why some could not be written, the first time that happened."""

    def __init__(self, raw: Any, fault: OSError | None = None):
        super().__init__()
        self._raw = raw
        self.fault = fault

    def writable(self) -> bool:
        """Whether it takes bytes: always."""
        return True

    def isatty(self) -> bool:
        """Whether a person watches."""
        return self.fault is None and bool(self._raw.isatty())

    def fileno(self) -> int:
        """The descriptor below."""
        return int(self._raw.fileno())

    def write(self, data: Any) -> int:
        """Write all of it, or note why that cannot be done. It always counts as written."""
        left = memoryview(data).cast("B")
        size = len(left)
        while left and self.fault is None:
            try:
                sent = self._raw.write(left)
                if sent is None:  # a pipe that does not wait, and is full: then we do
                    select.select([], [self._raw], [])
                left = left[sent or 0 :]
            except OSError as e:
                self.fault = e
        return size


def hold_descriptors() -> None:
    """Open what is missing of the descriptors 0, 1 and 2, or the next file opened would become stdout."""
    with suppress(OSError):
        while (got := os.open(os.devnull, os.O_RDWR)) <= 2:
            pass
        os.close(got)


def make_safe() -> None:
    """Put streams that never fail in the place of stdin, stdout and stderr; letters they lack do no harm."""
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: PTH123, SIM115  (it is stdin until the end)
    sys.stdout, sys.stderr = _safe(sys.stdout), _safe(sys.stderr)


def _safe(stream: TextIO | None) -> TextIO:
    if stream is None:
        nowhere = open(os.devnull, "wb", buffering=0)  # noqa: PTH123, SIM115
        raw = SafeOutput(nowhere, OSError(errno.EBADF, "stdout is closed"))
        return io.TextIOWrapper(io.BufferedWriter(raw), encoding="utf-8", errors="backslashreplace")
    if not isinstance(stream, io.TextIOWrapper):  # not the system's: a program that calls us has put it there
        return stream
    below = getattr(stream.buffer, "raw", None)
    raw = SafeOutput(stream.buffer if below is None else below)
    buffer: Any = raw if below is None else io.BufferedWriter(raw)  # the first: python -u
    return io.TextIOWrapper(
        buffer,
        encoding=stream.encoding,
        errors="backslashreplace",
        line_buffering=stream.line_buffering or raw.isatty(),
        write_through=stream.write_through,
    )


def end(code: int) -> int:
    """The exit code when all is done: told on stderr what stands, where the answer could not be shown."""
    from planner.cli.shell.talk import stands  # only now: all is done, and these are loaded
    from planner.season.store import written

    fault = _fault(sys.stdout)
    if fault is not None:
        why = fault.strerror or str(fault)
        if changes := written.changes():
            _tell(f"{stands(changes)}. The answer could not be shown: {why}")
        elif files := written.files():
            names = " and ".join(map(str, files))
            _tell(
                f"{names} {'is' if len(files) == 1 else 'are'} written. The answer could not be shown: {why}"
            )
        else:
            code = code or FAULTY
            if fault.errno != errno.EPIPE:  # who closes a pipe has read enough
                _tell(f"output: {why}")
    _fault(sys.stderr)
    return code


def _fault(stream: TextIO) -> OSError | None:
    """Why something could not be written, once all has been tried."""
    with suppress(OSError, ValueError):
        stream.flush()
    buffer = getattr(stream, "buffer", None)
    raw = getattr(buffer, "raw", buffer)
    return raw.fault if isinstance(raw, SafeOutput) else None


def _tell(what: str) -> None:
    with suppress(OSError, ValueError):
        sys.stderr.write(what + "\n")
