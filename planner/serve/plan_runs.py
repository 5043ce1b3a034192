"""Plans made in the background: one at a time for each season, with how far it is, and to be stopped."""

from __future__ import annotations

import subprocess
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from planner.record.refusal import DONE, IMPOSSIBLE, UNPROVED
from planner.season.reading.problems import shorten
from planner.serve import child

STEP = "... "  # what the command puts before a step of its search, where nobody sits at a terminal
MOST_LINES = 40
GRACE = 30.0  # seconds for the best plan so far to be written when the server ends


@dataclass
class PlanRun:
    """One call of ``plan``. ``step``: what it is at; ``said``: its answer, once it is over.

    ``ways``: the ways out of its clashes, each with its words and with the options that take it.
    """

    process: subprocess.Popen[str]
    begun: float
    step: str = "reading the season"
    stopping: bool = False
    told: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    ways: list[dict[str, Any]] = field(default_factory=list)
    code: int | None = None

    def follow(self) -> None:
        """Read what it says until it ends."""
        assert self.process.stdout is not None
        assert self.process.stderr is not None
        with self.process:
            reader = threading.Thread(target=self._steps, args=(self.process.stderr,), daemon=True)
            reader.start()
            found = child.answer(self.process.stdout.read())
            reader.join()
        told = found.get("told", {})
        self.said = told.get("words") or child.problems(found)[:MOST_LINES]
        self.ways = told.get("ways", [])
        self.code = self.process.returncode

    def _steps(self, stream: IO[str]) -> None:
        for line in stream:
            if line.startswith(STEP):
                self.step = shorten(line.removeprefix(STEP).strip(), 120)
            elif len(self.told) < MOST_LINES:
                self.told.append(line.rstrip())


class PlanRuns:
    """The runs of all seasons, the last of each."""

    def __init__(self) -> None:
        self._runs: dict[Path, PlanRun] = {}
        self._lock = threading.Lock()

    def start(self, folder: Path, seconds: float, on: str | None, way: int | None = None) -> bool:
        """Begin to plan; False where that is under way, or there is no such way out of the plan before."""
        with self._lock:
            run = self._runs.get(folder)
            if run is not None and run.code is None:
                return False
            ways = run.ways if run else []
            if way is not None and not 0 <= way < len(ways):
                return False
            taking = [] if way is None else ways[way]["options"]
            words = ["plan", "--json", "--seconds", f"{seconds:g}", *taking, *(["--on", on] if on else [])]
            run = PlanRun(child.start(folder, words), time.monotonic())
            self._runs[folder] = run
        threading.Thread(target=run.follow, daemon=True).start()
        return True

    def stop(self, folder: Path) -> None:
        """Ask for the best plan so far; once, for a second time would give it up."""
        with self._lock:
            run = self._runs.get(folder)
            if run is None or run.code is not None or run.stopping:
                return
            run.stopping = True
        child.stop(run.process)

    def state(self, folder: Path) -> dict[str, Any]:
        """How far it is: ``{"state": "none" | "running" | "stopping" | "over", ...}``."""
        run = self._runs.get(folder)
        if run is None:
            return {"state": "none"}
        if run.code is None:
            seconds = int(time.monotonic() - run.begun)
            return {"state": "stopping" if run.stopping else "running", "step": run.step, "seconds": seconds}
        good = run.code in (DONE, IMPOSSIBLE, UNPROVED)
        ways = [[one["words"], bool(one["options"])] for one in run.ways]
        return {"state": "over", "made": good, "words": run.said or run.told, "ways": ways}

    def end(self) -> None:
        """Stop all, and wait until their plans are written."""
        running = [folder for folder, run in self._runs.items() if run.code is None]
        for folder in running:
            self.stop(folder)
        until = time.monotonic() + GRACE
        while time.monotonic() < until and any(self._runs[folder].code is None for folder in running):
            time.sleep(0.05)
