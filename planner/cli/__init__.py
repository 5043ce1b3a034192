"""The command line: a thin skin, one file per group of commands."""

from __future__ import annotations

import os
import signal
import sys


def main() -> None:
    """Run ``hangplan`` with the arguments it was called with."""
    from planner.cli.streams import hold_descriptors, make_safe

    hold_descriptors()  # before anything is opened
    make_safe()
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, leave)
    if sys.argv[1:2] == ["plan"]:
        from planner.cli.watcher import watched

        with watched():
            _run()
    else:
        _run()


def leave(signum: int, frame: object) -> None:  # noqa: ARG001  (the form signal handlers have)
    """Answer Ctrl-C while all is being loaded: nothing has been done yet. Commands answer it themselves."""
    from planner.cli.watcher import ended

    ended()
    os.write(2, b"stopped: nothing was done\n")
    os._exit(130)


def _run() -> None:
    from planner.cli.app import run

    run()
