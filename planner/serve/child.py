"""The same command line as a process of its own: what it says, and how it is stopped.

Solver and drawings need much memory and take long; a process gives both back, and can be stopped.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

import planner
from planner.season.reading.problems import Problem
from planner.words import sentence


def start(folder: Path, words: Sequence[str]) -> subprocess.Popen[str]:
    """Call ``hangplan`` standing in a folder, so that no message names more of a path than it would there."""
    where = str(Path(planner.__file__).resolve().parents[1])
    env = {name: text for name, text in os.environ.items() if name not in ("PYTHONPATH", "PYTHONSAFEPATH")}
    more = {"PYTHONPATH": where, "PYTHONSAFEPATH": "1", "PYTHONIOENCODING": "utf-8", "NO_COLOR": "1"}
    own_group: dict[str, Any] = (
        {"creationflags": getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)}
        if os.name == "nt"
        else {"start_new_session": True}  # a Ctrl-C at the terminal is for the server, which stops it in turn
    )
    return subprocess.Popen(
        [sys.executable, "-m", "planner", *words],
        cwd=folder,
        env=env | more,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        errors="replace",
        **own_group,
    )


def stop(process: subprocess.Popen[str]) -> None:
    """Ask it to end with the best it has, as a Ctrl-C does; Windows has no way to, and ends it."""
    with suppress(ProcessLookupError, OSError):
        if os.name == "nt":
            process.terminate()
        else:
            process.send_signal(signal.SIGINT)


def answer(out: str) -> dict[str, Any]:
    """What it said with ``--json``; empty where that is no answer."""
    try:
        found = json.loads(out)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def problems(found: Mapping[str, Any]) -> list[str]:
    """What it said to speak against it, a sentence each, without what is typed against it."""
    told = []
    for one in found.get("problems", ()):
        what = one.get("matter") or one["what"]
        file = one.get("file")
        whole = Problem(file or "", one["line"], one["column"], one["where"], what)
        told.append(str(whole) if file else sentence(what))
    return told


def run(folder: Path, words: Sequence[str], seconds: float) -> tuple[int, str, str]:
    """Exit code, and what was said on stdout and on stderr. Raises TimeoutError."""
    process = start(folder, words)
    try:
        out, err = process.communicate(timeout=seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        process.communicate()
        raise TimeoutError from None
    return process.returncode, out, err
