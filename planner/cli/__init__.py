"""The command line: a thin skin, one file per group of commands."""

from __future__ import annotations


def main() -> None:
    """Run ``hangplan`` with the arguments it was called with."""
    from planner.cli.app import run

    run()
