"""Time the engine and the whole command, as ratios to a bare import of solver and plots, in one run.

Run by hand: ``python tests/bench/engine.py`` (``--budget 1200`` tells only what `arrange` takes of the
time it is given, on up to so many spots).
Prints a table in Markdown for docs/performance.md.
"""

from __future__ import annotations

import argparse
import os
import platform
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
BASE = "import ortools.sat.python.cp_model, matplotlib.pyplot"


def seconds(*command: str, codes: tuple[int, ...] = (0,)) -> float:
    began = time.perf_counter()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode in codes, done.stderr
    return time.perf_counter() - began


def bare_import() -> float:
    return min(seconds(sys.executable, "-c", BASE) for _ in range(5))


def whole_command(example: str, on: str) -> float:
    times = []
    for _ in range(3):
        with tempfile.TemporaryDirectory() as folder:
            season = Path(folder) / example
            shutil.copytree(ROOT / "examples" / example, season)
            times.append(seconds(sys.executable, "-m", "planner", "plan", str(season), "--on", on))
    return min(times)


def lines(count: int, marks: int):
    import networkx as nx

    graph = nx.Graph()
    for line in range(count):
        nx.add_path(graph, [(line, k) for k in range(marks)])
        graph.add_edges_from(((line, k), (line, k + 2)) for k in range(marks - 2))
    return graph


def ten_thousand(fill: float) -> None:
    """10,500 spots on 42 lines, neighbours within two spots, dates over 14 days, gap 2: in this process."""
    from planner import arrange

    graph, rng = lines(42, 250), random.Random(1)
    dues = [rng.randrange(14) for _ in range(round(fill * len(graph)))]
    began = time.perf_counter()
    a = arrange(graph, dues, gap=2)
    took = time.perf_counter() - began
    assert not a.clashes
    assert a.proved
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(f"{len(dues):,} pupae on {len(graph):,} spots: {took:.2f} s, {peak:.2f} GiB, no clash, proved")


ASKED = {  # spots: rows, columns, seconds
    300: (15, 20, 2),
    1_200: (30, 40, 5),
    2_000: (40, 50, 10),
    10_000: (100, 100, 20),
    100_000: (250, 400, 30),
}
DISTINCT = 2000  # dues at most
INSTANCES = 10  # of each kind, by turns 95 % full and full


@dataclass(frozen=True)
class Taken:
    """What one run of `arrange` took: seconds and GiB; what it found and bounded."""

    seconds: float
    peak: float
    found: float
    bound: float


def budget_table(largest: int) -> None:
    """What `arrange` takes of time and memory: king's grids, dues by lot, each in a process of its own."""
    print("| items | spots | gap | asked, s | taken, s: median, most | late | peak, GiB | found | bound |")
    print("|---|---|---|---|---|---|---|---|---|", flush=True)
    for spots, (_, _, limit) in ASKED.items():
        for gap in ("widest", "5", "8") if spots <= largest else ():
            rows = []
            for seed in range(INSTANCES):
                command = [sys.executable, __file__, "--budget-row", str(spots), gap, str(seed)]
                done = subprocess.run(command, check=True, capture_output=True, text=True)
                rows.append(Taken(*map(float, done.stdout.split())))
            taken = [row.seconds for row in rows]
            late = sum(one > 1.1 * limit + 0.5 for one in taken)
            unit = "days" if gap == "widest" else "clashes"
            found, bound = (_span([getattr(row, what) for row in rows]) for what in ("found", "bound"))
            print(
                f"| {round(0.95 * spots):,} and {spots:,} | {spots:,} | {gap} | {limit} "
                f"| {median(taken):.2f}, {max(taken):.2f} | {late} | {max(row.peak for row in rows):.2f} "
                f"| {found} {unit} | {bound} |",
                flush=True,
            )


def _span(values: list[float]) -> str:
    return f"{min(values):,.4g} to {max(values):,.4g}"


def budget_row(spots: int, gap: str, seed: int) -> None:
    """Print what one instance takes, as the attributes of `Taken`."""
    import networkx as nx

    from planner import arrange

    rows, columns, limit = ASKED[spots]
    graph = nx.grid_2d_graph(rows, columns)
    down = [(r, c) for r in range(rows - 1) for c in range(columns)]
    graph.add_edges_from(((r, c), (r + 1, c + d)) for r, c in down for d in (-1, 1) if 0 <= c + d < columns)
    rng, items = random.Random(seed), spots if seed % 2 else round(0.95 * spots)
    dates = [rng.uniform(0, 20) for _ in range(min(items, DISTINCT))]
    dues = dates if items <= DISTINCT else [rng.choice(dates) for _ in range(items)]
    began = time.perf_counter()
    a = arrange(graph, dues, gap=None if gap == "widest" else float(gap), seconds=limit, workers=1)
    took = time.perf_counter() - began
    a.verify()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(took, peak, a.smallest_gap if gap == "widest" else len(a.clashes), a.bound)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--fill", type=float, help=argparse.SUPPRESS)
    options.add_argument("--budget", type=int, metavar="SPOTS")
    options.add_argument("--budget-row", nargs=3, help=argparse.SUPPRESS)
    given = options.parse_args()
    if given.budget_row:
        spots, gap, seed = given.budget_row
        budget_row(int(spots), gap, int(seed))
        return
    if given.fill:
        ten_thousand(given.fill)
        return
    print(
        f"{date.today()}, {os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}\n"
    )
    if given.budget:
        budget_table(given.budget)
        return
    base = bare_import()
    print(f"| what | seconds | ratio |\n|---|---|---|\n| `{BASE}` | {base:.2f} | 1 |")
    for example, on in (("porch", "2027-07-12T12:00"), ("butterfly-house", "2027-05-07T09:00")):
        took = whole_command(example, on)
        print(
            f"| `hangplan plan {example}`, start to map written | {took:.2f} | {took / base:.1f} |",
            flush=True,
        )
    print()
    for fill in (10000 / 10500, 1.0):  # each in a process of its own, for its peak of memory
        subprocess.run([sys.executable, __file__, "--fill", str(fill)], check=True)


if __name__ == "__main__":
    main()
