"""Plans of seasons on two yarns (`yarn_seasons`): time, near dates, risk, and how near clips hang.

Run by hand: ``python tests/bench/yarn_plans.py [SEEDS]``. Processor time of the whole command, map and lists
included, as a ratio to a bare import of solver and plots, measured just before and just after it: the lesser
of the two. Our modules are compiled once before, as after any first call. Prints a table in Markdown.
"""

from __future__ import annotations

import argparse
import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from itertools import combinations
from pathlib import Path

from yarn_seasons import EVENING, write_season

from planner.emergence import known_species
from planner.season import Season
from planner.season.load import load
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.verify.case import Case
from planner.verify.levels import Measured

BASE = "import ortools.sat.python.cp_model, matplotlib.pyplot"
FIRST_LEVELS = ("left", "clashes", "touched")


def processor_seconds(*command: str) -> float:
    """Of one command, user and system."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def nearest(season: Season, plan: Plan) -> float:
    """The least distance, in the season's unit, of two on one line or board, of whom one is moved."""
    case = Case(season, plan)
    found = [
        math.dist(one.at.rack, other.at.rack)
        for hung in case.hung_on.values()
        for one, other in combinations(hung, 2)
        if one.at and other.at and not (one.stays and other.stays)
    ]
    return min(found, default=math.inf) / season.cm_per_unit


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("seeds", type=int, nargs="?", default=20)
    options.add_argument("--seconds", type=float, help="for each plan; none: as the command has it")
    given = options.parse_args()
    more = ["--seconds", f"{given.seconds:g}"] if given.seconds else []
    with tempfile.TemporaryDirectory() as compiled:
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = compiled
        measure(given.seeds, more)


def measure(seeds: int, more: list[str]) -> None:
    """Print the table; ``more``: options of each command."""
    print("| seed | moved | ratio | near dates | risk | nearest, in | first levels | not proved |")
    print("|---|---|---|---|---|---|---|---|")
    ratios = []
    for seed in (0, *range(seeds)):  # the first one compiles, and is not counted
        with tempfile.TemporaryDirectory() as work:
            folder = Path(work) / "season"
            write_season(folder, seed)
            before = processor_seconds(sys.executable, "-c", BASE)
            took = processor_seconds(
                sys.executable, "-m", "planner", "plan", str(folder), "--on", EVENING, *more
            )
            base = min(before, processor_seconds(sys.executable, "-c", BASE))
            season, plan = load(folder, known_species()), plan_file.read(folder)
        assert plan is not None
        ratios.append(took / base)
        if len(ratios) == 1:
            continue
        first = all(level.proved for level in plan.proof if level.name in FIRST_LEVELS)
        open_ = ", ".join(level.name for level in plan.proof if not level.proved)
        print(
            f"| {seed} | {len(plan.movers)} | {took / base:.1f} | {Measured(Case(season, plan)).close()} | "
            f"{plan.drying['as_planned']:.3f} | {nearest(season, plan):.2f} | "
            f"{'proved' if first else 'not proved'} | {open_} |",
            flush=True,
        )
    print(f"\nratio: median {statistics.median(ratios[1:]):.1f}, most {max(ratios[1:]):.1f}")


if __name__ == "__main__":
    main()
