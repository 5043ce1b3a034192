"""The command line: a thin skin, one file per group of commands."""

from __future__ import annotations

import sys


def main() -> None:
    """Run ``hangplan`` with the arguments it was called with."""
    try:
        if sys.argv[1:2] == ["plan"]:
            from planner.cli.watcher import watched

            with watched():
                _run()
        else:
            _run()
    except KeyboardInterrupt:  # while all that is being loaded; a command answers it itself
        sys.stderr.write("stopped\n")
        sys.exit(130)


def _run() -> None:
    from planner.cli.app import run

    run()
