"""Ctrl-C: the first one ends a search with the best so far, a second one gives up; no write is cut short."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from planner.cli.shell.talk import tell


class GivenUp(BaseException):
    """The second Ctrl-C. Not a KeyboardInterrupt, which the solver takes for the first."""


class Interrupts:
    """What Ctrl-C has asked for so far. ``held``: it asks for nothing more, for what was found is written."""

    def __init__(self) -> None:
        self._stopped = threading.Event()
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
            tell("stopping: the best plan so far is kept; Ctrl-C again gives up")


@contextmanager
def interruptible() -> Iterator[Interrupts]:
    """Within, Ctrl-C asks for the best so far, and a second one raises GivenUp."""
    asked = Interrupts()
    if threading.current_thread() is not threading.main_thread():
        yield asked  # only the main thread may listen
        return
    old = signal.signal(signal.SIGINT, asked.interrupt)
    try:
        yield asked
    finally:
        signal.signal(signal.SIGINT, old)
