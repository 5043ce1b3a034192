"""Ctrl-C ends a search with its incumbent, where nobody else looks after it."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from planner.engine.model.solver import Clock


@contextmanager
def interruptible(clock: Clock) -> Iterator[None]:
    """The first Ctrl-C interrupts the clock, the second raises KeyboardInterrupt.

    Only in the main thread, and only where Ctrl-C is handled as Python does of itself: who has a handler of
    their own keeps it.
    """
    mine = threading.current_thread() is threading.main_thread()
    if not mine or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return

    def on_ctrl_c(_signal: int, _frame: FrameType | None) -> None:
        if clock.interrupted:
            raise KeyboardInterrupt
        clock.interrupt()

    signal.signal(signal.SIGINT, on_ctrl_c)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)
