"""The command line: a thin skin, one file per group of commands."""

from __future__ import annotations

import gc
import sys
from pathlib import Path

from planner.cli.shell.interrupts import leave_while_loading
from planner.cli.shell.streams import hold_descriptors, make_safe
from planner.cli.shell.watcher import watched


def main() -> None:
    """Run ``hangplan`` with the arguments it was called with."""
    # A command keeps most of what it makes: to look through all that again and again for what nobody holds
    # took a sixth of the time of a plan for thousands.
    gc.set_threshold(100_000)
    hold_descriptors()  # before anything is opened
    make_safe()
    leave_while_loading()
    if sys.argv[1:2] == ["plan"]:
        with watched(_store_cut_off):
            _run()
    else:
        _run()


def _store_cut_off(folder: Path, expect: str | None, plan: bytes) -> bool:
    from planner.cli.answers.plan_store import store_cut_off  # only in the process left over after a search

    return store_cut_off(folder, expect, plan)


def _run() -> None:
    from planner.cli.app import run  # only now: until Ctrl-C and the streams are looked after, load little

    run()
