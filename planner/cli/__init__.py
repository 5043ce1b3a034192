"""The command line: a thin skin, one file per group of commands."""

from __future__ import annotations

import sys


def main() -> None:
    """Run ``hangplan`` with the arguments it was called with."""
    try:
        from planner.cli.app import run

        run()
    except KeyboardInterrupt:  # while all that is being loaded; a command answers it itself
        sys.stderr.write("stopped\n")
        sys.exit(130)
