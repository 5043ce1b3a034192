"""Ctrl-C before a command has begun: while all is being loaded nothing has been done yet."""

from __future__ import annotations

import os


def leave(signum: int, frame: object) -> None:  # noqa: ARG001  (the form signal handlers have)
    """Answer Ctrl-C while all is being loaded: nothing has been done yet. Commands answer it themselves."""
    from planner.cli.shell.watcher import ended

    ended()
    os.write(2, b"stopped: nothing was done\n")
    os._exit(130)
