"""A second process that tells what stands where a long command is ended from outside, as for lack of memory.

A solver that runs out of memory may be ended by the system, or end the whole program itself: then nobody is
left to say a word.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress

_WRITTEN, _ENDED = b"w", b"e"
_CAUSE = (
    "\nplan was ended from outside, most likely for lack of memory: close other programs, or plan with "
    "--seconds 0.1, which hardly searches.\n"
)
_BEFORE = "Nothing is half written: 'hangplan check' tells what stands.\n"
_AFTER = "plan.yaml is written and holds, but perhaps not the map, the move list and why there are clashes.\n"
_pipe: int | None = None


@contextmanager
def watched() -> Iterator[None]:
    """Have a process beside this one that speaks up if this one dies within, where the system can do that."""
    global _pipe
    if not hasattr(os, "fork"):
        yield
        return
    read, _pipe = os.pipe()
    watcher = os.fork()
    if not watcher:
        os.close(_pipe)
        _watch(read)
    os.close(read)
    try:
        yield
    finally:
        ended()
        os.close(_pipe)
        _pipe = None
        with suppress(OSError):
            os.waitpid(watcher, 0)


def written() -> None:
    """Take note that the plan is safe."""
    _say(_WRITTEN)


def ended() -> None:
    """Take note that this process ends by itself."""
    _say(_ENDED)


def _say(what: bytes) -> None:
    with suppress(OSError):
        if _pipe is not None:
            os.write(_pipe, what)


def _watch(read: int) -> None:
    """The other process: it ends when the first one does."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a Ctrl-C is meant for the first one
    said = b"".join(iter(lambda: os.read(read, 16), b""))
    if _ENDED not in said:
        with suppress(OSError):
            os.write(2, (_CAUSE + (_AFTER if _WRITTEN in said else _BEFORE)).encode())
    os._exit(0)
