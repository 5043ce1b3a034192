"""The command line: a thin skin, one file per group of commands."""

from __future__ import annotations

import signal
import sys
from pathlib import Path


def main() -> None:
    """Run ``hangplan`` with the arguments it was called with."""
    from planner.cli.shell.streams import hold_descriptors, make_safe

    hold_descriptors()  # before anything is opened
    make_safe()
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        from planner.cli.shell.leaving import leave

        signal.signal(signal.SIGINT, leave)
    if sys.argv[1:2] == ["plan"]:
        from planner.cli.shell.watcher import watched

        with watched(_store_cut_off):
            _run()
    else:
        _run()


def _store_cut_off(folder: Path, expect: str | None, plan: bytes) -> bool:
    from planner.cli.shell.plan_store import store_cut_off  # only now: the search may have needed all memory

    return store_cut_off(folder, expect, plan)


def _run() -> None:
    from planner.cli.app import run

    run()
