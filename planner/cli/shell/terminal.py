"""What a real terminal shows beyond plain text: tables, bold, and a line that tells how a search goes on.

Everywhere else, in pipes, files, with ``NO_COLOR`` or ``TERM=dumb``, the plain text comes out as it is. rich
is loaded only when something is shown on a terminal; texts go to it as they are, never as markup, for a
keeper's names may hold brackets.
"""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from shutil import get_terminal_size
from typing import Any, TextIO

NARROWEST, WIDEST = 40, 80


def is_terminal(stream: TextIO) -> bool:
    """Whether a person watches who wants more than plain text."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM", "") in ("", "dumb"):
        return False
    try:
        return stream.isatty()
    except ValueError:  # closed
        return False


def can_ask() -> bool:
    """Whether somebody sits there who sees a question: no script ever waits for an answer."""
    try:
        return sys.stdin.isatty() and sys.stdout.isatty()
    except (AttributeError, ValueError):  # none, or closed
        return False


def width(stream: TextIO) -> int:
    """How many columns to use: 80, on a terminal that is narrower as many as it has, but at least 40."""
    if not is_terminal(stream):
        return WIDEST
    try:
        here = os.get_terminal_size(stream.fileno())
    except (OSError, ValueError):  # a stream that only says it is one
        here = os.terminal_size((0, 0))
    wide = get_terminal_size(fallback=here).columns or WIDEST
    return max(NARROWEST, min(WIDEST, wide))


def console(stream: TextIO) -> Any:
    """A rich console as wide as the terminal, but 40 to 80 columns, that takes nothing for markup."""
    from rich.console import Console

    return Console(
        file=stream,
        width=width(stream),
        markup=False,
        highlight=False,
        emoji=False,
        soft_wrap=False,
    )


@contextmanager
def progress(stream: TextIO, plain: Callable[[str], None]) -> Iterator[Callable[[str], None]]:
    """Tell what is being done: on a terminal in one line with the time, which goes away at the end.

    Elsewhere ``plain`` is called for each new text.
    """
    if not is_terminal(stream):
        last = ""

        def say(text: str) -> None:
            nonlocal last
            if text != last:
                plain(f"... {text}")
            last = text

        yield say
        return
    from rich.live import Live

    line = _Line()
    live = Live(line, console=console(stream), transient=True, refresh_per_second=4, redirect_stdout=False,
                redirect_stderr=False)  # fmt: skip
    with live:
        yield line.say


class _Line:
    """The step being worked at, which one it is, and how long it all takes."""

    def __init__(self) -> None:
        self._begun = time.monotonic()
        self._lock = threading.Lock()
        self._step, self._number = "reading the season", 0

    def say(self, text: str) -> None:
        with self._lock:
            if text != self._step:
                self._step, self._number = text, self._number + 1

    def __rich__(self) -> Any:
        from rich.text import Text

        with self._lock:
            step, number = self._step, self._number
        seconds = int(time.monotonic() - self._begun)
        text = Text(f"{'|/-'[seconds % 3]} ", no_wrap=True, overflow="ellipsis")
        text.append(f"{number}. {step}", style="bold")
        text.append(f"  {seconds} s  (Ctrl-C keeps the best so far)")
        return text
