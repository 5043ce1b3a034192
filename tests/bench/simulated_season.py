"""Whole seasons, evening by evening: how many clashes and touches, by hangplan and by others; run by hand.

    python tests/bench/simulated_season.py --seeds 20 --plot docs/images/simulated-season.png

Prints the tables of docs/performance.md. Each way of hanging meets the same arrivals and the same emergences.
``--save`` keeps every season's figures, and goes on where it was broken off.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import platform
import time
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from statistics import fmean

from simulated_bound import clairvoyant
from simulated_plot import plot
from simulated_policies import at_random, deal, first_fit, patient
from simulated_run import Policy, live
from simulated_world import arrivals, rack

LOADS = (0.60, 0.75, 0.85, 0.95)
RACKS = ("wide lines", "lines", "board", "yarn")
BOUND = "clairvoyant"


@dataclass(frozen=True)
class Job:
    """One season lived through in one way."""

    way: str
    rack: str
    load: float
    seed: int

    @property
    def season(self) -> str:
        return f"{self.rack} {self.load:.2f} {self.seed}"

    @property
    def key(self) -> str:
        return f"{self.season} {self.way}"


def ways(seed: int) -> dict[str, Callable[[], Policy]]:
    """Name of a way → what makes it; the planner is loaded only where it is wanted."""

    def planner(make: str = "planner", **knows: int | str | None) -> Callable[[], Policy]:
        def policy() -> Policy:
            import simulated_planners

            simulated_planners.share_forecasts()
            return getattr(simulated_planners, make)(**knows)

        return policy

    return {
        "dealt by date": lambda: deal,
        "random": lambda: at_random(seed),
        "first fit": lambda: first_fit,
        "first fit, who would clash waits": lambda: patient(first_fit),
        "solver, today only": planner(soft=False, expected=False),
        "hangplan, nobody expected": planner(soft=True, expected=False),
        "hangplan": planner(soft=True, expected=True),
        "hangplan, evenings as needed": planner(soft=True, expected=True, evenings=None),
        "hangplan --wait": planner(soft=True, expected=True, evenings=2),
        "hangplan --evenings 6": planner(soft=True, expected=True, evenings=6),
        "hangplan --rehang": planner(soft=True, expected=True, rehang=True),
        "hangplan --rehang, evenings as needed": planner(
            soft=True, expected=True, rehang=True, evenings=None
        ),
        **{
            f"hangplan, no {level}": planner(soft=True, expected=True, without=level)
            for level in ("room", "risk", "elbow room")
        },
        "planned twice": planner("Interrupted", stable=True),
        "planned twice, no stability": planner("Interrupted", stable=False),
    }


def run(job: tuple[Job, int, float]) -> tuple[Job, dict[str, float | None]]:
    """The figures of one job; with how many days known, and seconds for the bound."""
    one, known, seconds = job
    where = rack(one.rack)
    pupae = arrivals(where.size, one.load, one.seed)
    began = time.perf_counter()
    if one.way == BOUND:
        found: dict[str, float | None] = asdict(clairvoyant(where, pupae, seconds, one.season))
    else:
        policy = ways(one.seed)[one.way]()
        found = asdict(live(where, pupae, policy, known))
        found["reprinted"] = getattr(policy, "reprinted", 0)
    return one, {**found, "pupae": len(pupae), "seconds": round(time.perf_counter() - began, 1)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--loads", type=float, nargs="+", default=LOADS)
    parser.add_argument("--racks", nargs="+", default=RACKS, choices=RACKS)
    parser.add_argument("--ways", nargs="+", default=[*ways(0), BOUND], choices=[*ways(0), BOUND])
    parser.add_argument("--known", type=int, default=3, help="for how many days it is seen who will pupate")
    parser.add_argument("--bound-seconds", type=float, default=60)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--save", type=Path, help="JSON file with the figures of every season")
    parser.add_argument("--plot", type=Path, help="where to write the plot")
    given = parser.parse_args()
    wanted = [
        Job(way, where, load, seed)
        for seed in range(given.seeds)
        for where in given.racks
        for load in given.loads
        for way in given.ways
    ]
    found: dict[str, dict[str, float | None]] = {}
    if given.save and given.save.exists():
        found = json.loads(given.save.read_text(encoding="utf-8"))
    missing = [(job, given.known, given.bound_seconds) for job in wanted if job.key not in found]
    with multiprocessing.Pool(given.jobs) as pool:
        for job, figures in pool.imap_unordered(run, missing):
            found[job.key] = figures
            if given.save:
                given.save.write_text(json.dumps(found, indent=0), encoding="utf-8")
    print(f"{date.today()}, {os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}")
    for where in given.racks:
        print(f"\n### {where}\n")
        tell([job for job in wanted if job.rack == where], found, given.loads, given.ways)
    if given.plot:
        plot(given.plot, wanted, found)


def tell(
    jobs: Iterable[Job], found: dict[str, dict[str, float | None]], loads: list[float], names: list[str]
) -> None:
    """A table: for each way and load, clashes a season, seasons without one, drying together, touches.

    Where some wait, evenings waited too; touches and evenings are for each pupa.
    """
    print("| way | " + " | ".join(f"{load:.0%}" for load in loads) + " |")
    print("|---|" + "---|" * len(loads))
    for name in names:
        cells = []
        for load in loads:
            rows = [found[job.key] for job in jobs if job.way == name and job.load == load]
            if name == BOUND:
                cells.append(_bound(rows))
                continue
            clashes = [row["clashes"] or 0 for row in rows]
            extra = fmean((row["touches"] or 0) / (row["pupae"] or 1) for row in rows)
            together = fmean(row["together"] or 0 for row in rows)
            none = sum(count == 0 for count in clashes)
            cell = f"{fmean(clashes):.1f} ({none}), {together:.1f}, {extra:.2f}"
            if waited := fmean((row["waited"] or 0) / (row["pupae"] or 1) for row in rows):
                cell += f", {waited:.2f}"
            cells.append(cell)
        print(f"| {name} | " + " | ".join(cells) + " |", flush=True)


def _bound(rows: list[dict[str, float | None]]) -> str:
    """Least and found on the average; ``≥`` marks that some seasons' bounds do not meet."""
    least = fmean(row["least"] or 0 for row in rows)
    if all(row["least"] == row["found"] for row in rows):
        return f"{least:.1f} (proved)"
    if any(row["found"] is None for row in rows):
        return f"≥ {least:.1f} (not proved)"
    return f"{least:.1f} to {fmean(row['found'] or 0 for row in rows):.1f} (not proved)"


if __name__ == "__main__":
    main()
