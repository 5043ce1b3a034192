"""A second process that looks after a long command that is ended from outside, as for lack of memory.

A solver that runs out of memory may be ended by the system, or end the whole program itself: then nobody is
left to say a word, or to write the best plan so far. That process can.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

_WRITTEN, _ENDED = b"w", b"e"
_CAUSE = (
    "\nplan was ended from outside, most likely for lack of memory: close other programs, or plan with "
    "--seconds 0.1, which hardly searches.\n"
)
_BEFORE = "Nothing is half written: 'hangplan check' tells what stands.\n"
_KEPT = "The best plan so far keeps every rule and is written to plan.yaml. 'hangplan map' draws it.\n"
_AFTER = "plan.yaml is written and holds, but perhaps not the map, the move list and why there are clashes.\n"
Store = Callable[[Path, str | None, bytes], bool]  # folder, digest of the plan there, the plan
_news: int | None = None  # pipe for single letters
_plans: int | None = None  # pipe for plans, each after its length in eight bytes


@contextmanager
def watched(store: Store) -> Iterator[None]:
    """Have a process beside this one that acts if this one dies within, where the system can do that.

    ``store`` writes the best plan so far, and says whether that could be done.
    """
    global _news, _plans
    if not hasattr(os, "fork"):
        yield
        return
    (news, _news), (plans, _plans) = os.pipe(), os.pipe()
    watcher = os.fork()
    if not watcher:
        os.close(_news)
        os.close(_plans)
        _watch(news, plans, store)
    os.close(news)
    os.close(plans)
    try:
        yield
    finally:
        ended()
        os.close(_news)
        os.close(_plans)
        _news = _plans = None
        with suppress(OSError):
            os.waitpid(watcher, 0)


def written() -> None:
    """Take note that the plan is safe."""
    _say(_news, _WRITTEN)


def ended() -> None:
    """Take note that this process ends by itself."""
    _say(_news, _ENDED)


def keep(folder: Path, expect: str | None, plan: bytes) -> None:
    """Take note of the best plan so far, to be written where ``expect`` is the digest of the plan there."""
    told = b"\0".join((os.fsencode(folder), (expect or "").encode(), plan))
    _say(_plans, len(told).to_bytes(8, "big") + told)


def _say(pipe: int | None, what: bytes) -> None:
    with suppress(OSError):
        if pipe is not None:
            with os.fdopen(pipe, "wb", closefd=False) as stream:
                stream.write(what)


def _watch(news: int, plans: int, store: Store) -> None:
    """The other process: it ends when the first one does."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # a Ctrl-C is meant for the first one
    with os.fdopen(plans, "rb") as stream:
        kept = _last(stream)
    with os.fdopen(news, "rb") as stream:
        said = stream.read()
    if _ENDED not in said:
        with suppress(OSError):
            os.write(2, _CAUSE.encode())
        stands = _AFTER if _WRITTEN in said else _KEPT if kept and store(*_parted(kept)) else _BEFORE
        with suppress(OSError):
            os.write(2, stands.encode())
    os._exit(0)


def _last(stream: BinaryIO) -> bytes:
    """The last that was told wholly, once the one who tells is gone."""
    last = b""
    while len(head := stream.read(8)) == 8:
        told = stream.read(int.from_bytes(head, "big"))
        last = told if len(told) == int.from_bytes(head, "big") else last
    return last


def _parted(kept: bytes) -> tuple[Path, str | None, bytes]:
    folder, expect, plan = kept.split(b"\0", 2)
    return Path(os.fsdecode(folder)), expect.decode() or None, plan
