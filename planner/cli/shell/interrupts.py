"""Ctrl-C: before a command begins, while it runs, while it searches, and once all is said.

While all is being loaded it ends the program at once. A command that it stops says what stands. Of a search
the first one asks for the best plan so far, and a second one gives up; no write is cut short. This is loaded
before all else, so it loads little itself.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from planner.cli.shell.watcher import ended


class Stopped(Exception):  # noqa: N818  (a keeper's wish; it is no error)
    """Ctrl-C, where a command says itself what stands."""


class GivenUp(BaseException):
    """The second Ctrl-C. Not a KeyboardInterrupt, which the solver takes for the first."""


def leave_while_loading() -> None:
    """From now on Ctrl-C ends the program at once: nothing has been done yet. Commands answer it themselves.

    Not where Ctrl-C is ignored, as in the background of a shell, or where whoever calls us listens.
    """
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _leave)


def _leave(signum: int, frame: object) -> None:  # noqa: ARG001  (the form signal handlers have)
    ended()
    os.write(2, b"stopped: nothing was done\n")
    os._exit(130)


@contextmanager
def answered() -> Iterator[None]:
    """Around a command and its last words: within, Ctrl-C interrupts; afterwards it does nothing any more."""
    ours = signal.getsignal(signal.SIGINT) is _leave
    if ours:
        signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    if ours:
        signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def stoppable() -> Iterator[None]:
    """Within, Ctrl-C raises Stopped."""
    try:
        yield
    except KeyboardInterrupt:
        raise Stopped from None


class Interrupts:
    """What Ctrl-C has asked for so far. ``held``: it asks for nothing more, for what was found is written."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self._stopped = threading.Event()
        self._tell = tell
        self.held = False

    @property
    def stopped(self) -> bool:
        """Whether to end with the best so far."""
        return self._stopped.is_set()

    def interrupt(self, signum: int, frame: object) -> None:  # noqa: ARG002  (the form signal handlers have)
        """Take note of a Ctrl-C."""
        if self.held:
            return
        if self.stopped:
            raise GivenUp
        self._stopped.set()
        with suppress(OSError, RuntimeError):  # a stream that is just being written may not be entered again
            self._tell("stopping: the best plan so far is kept; Ctrl-C again gives up")


@contextmanager
def interruptible(tell: Callable[[str], None]) -> Iterator[Interrupts]:
    """Within, Ctrl-C asks for the best so far, which ``tell`` says, and a second one raises GivenUp."""
    asked = Interrupts(tell)
    if threading.current_thread() is not threading.main_thread():
        yield asked  # only the main thread may listen
        return
    old = signal.signal(signal.SIGINT, asked.interrupt)
    try:
        yield asked
    finally:
        signal.signal(signal.SIGINT, old)
