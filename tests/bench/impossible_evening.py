"""The impossible evening: 45 pupae of two dates for 12 clips, on marks, on a yarn, on a board.

Run by hand: ``python tests/bench/impossible_evening.py`` (``--seeds 8``). Processor seconds of whole
commands, reasons and ways out included, and their ratios to the bare import of solver and plots, side by side
in one run.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import subprocess
import sys
import tempfile
from datetime import date, timedelta
from pathlib import Path

BASE = "import ortools.sat.python.cp_model, matplotlib.pyplot"
FIRST = date(2027, 7, 1)
EVENING = "2027-07-06T21:00"
CODES = {0, 3, 4}

RACKS = {
    "marks": "  - {line: shelf, length: 52, height: 150, clips_every: 4}\n",
    "yarn": "  - {line: yarn, length: 38, height: 150, clip_width: 3}\n",  # 12 clips side by side
    "board": "  - {board: cork, width: 20, height: 15, pins_every: 5, bottom: 100}\n",  # 4 by 3 pins
}

SEASON = """\
season: Impossible evening, seed {seed}
units: cm
timezone: Europe/Lisbon
gap_days: 2
wing_reach: 10
drop: 20
clearance: 11
keeper_reach: {{lowest: 40, highest: 190}}
temperature: {{constant: 23}}
places:
{rack}  - {{lid: tub-1, width: 60, length: 40, clear: true}}
"""


def write_season(
    folder: Path, seed: int, rack: str = "marks", pupae: int = 45, apart: int | None = None
) -> None:
    """A season of ``pupae`` of two dates, all on a lid to be cleared, and one place with 12 clips or pins.

    ``apart``: days between the dates; by lot 1 (they clash) or 3 (they do not) where None.
    """
    rng = random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "season.yaml").write_text(SEASON.format(seed=seed, rack=RACKS[rack]), encoding="utf-8")
    later = timedelta(days=rng.choice((1, 3)) if apart is None else apart)
    rows = ["id,species,pupated,place,spot,x,y"]
    for n, at in enumerate(rng.sample(range(15 * 10), pupae), 1):
        day = FIRST + rng.randrange(2) * later
        rows.append(f"m{n},monarch,{day},tub-1,,{2 + 4 * (at % 15)},{2 + 4 * (at // 15)}")
    (folder / "pupae.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def processor_seconds(*command: str) -> float:
    """User and system time of a command and its children; the command must end as a plan may."""
    before = os.times()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode in CODES, done.stderr
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def main() -> None:
    """Print a table in Markdown."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seeds", type=int, default=6)
    options.add_argument("--racks", nargs="+", default=list(RACKS), choices=list(RACKS))
    options.add_argument("--extra", nargs="*", default=[], help="more words for plan, such as --wait")
    asked = options.parse_args()
    print("| rack | processor s, median | worst | ratio, median | worst |\n|---|---|---|---|---|")
    for rack in asked.racks:
        taken, ratios = [], []
        for seed in range(asked.seeds):
            with tempfile.TemporaryDirectory() as folder:
                write_season(Path(folder), seed, rack)
                bare = min(processor_seconds(sys.executable, "-c", BASE) for _ in range(3))
                more = [word.replace("+", "-") for word in asked.extra]
                taken.append(
                    processor_seconds(sys.executable, "-m", "planner", "plan", folder, "--on", EVENING, *more)
                )
                ratios.append(taken[-1] / bare)
        print(
            f"| {rack} | {statistics.median(taken):.1f} | {max(taken):.1f} "
            f"| {statistics.median(ratios):.1f} | {max(ratios):.1f} |",
            flush=True,
        )


if __name__ == "__main__":
    main()
