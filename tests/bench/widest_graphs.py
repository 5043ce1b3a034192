"""The widest smallest gap of full racks: published graphs and generated ones of the same kinds.

Run by hand: ``python tests/bench/widest_graphs.py --seconds 60 --seeds 0 1 2``. With one worker (the
default) the seconds are of the processor, so that a busy machine reaches what a quiet one does;
``--workers 0`` lets annealing and solver run side by side, by the clock. Prints a table in Markdown for
docs/performance.md.
"""

from __future__ import annotations

import argparse
import os
import platform
import sys
import time
from datetime import date
from pathlib import Path
from types import SimpleNamespace

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "external")]

from graph_family import FAMILY  # noqa: E402
from test_antibandwidth import DATA, read_graph  # noqa: E402

from planner import arrange  # noqa: E402
from planner.engine.model import solver  # noqa: E402

GRAPHS = {
    path.name.split(".")[0][2:]: lambda path=path: read_graph(path) for path in sorted(DATA.glob("*.rnd"))
}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=float, default=60)
    options.add_argument("--seeds", type=int, nargs="+", default=[0])
    options.add_argument("--workers", type=int, default=1)
    options.add_argument("--only", nargs="+", default=[""], help="parts of names")
    given = options.parse_args()
    if given.workers == 1:
        solver.time = SimpleNamespace(monotonic=time.process_time, process_time=time.process_time)
    print(
        f"{date.today()}, {os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}\n"
    )
    print("| graph | spots | pairs | widest, each seed | bound, the best | seconds of the processor |")
    print("|---|---|---|---|---|---|", flush=True)
    for name, make in {**GRAPHS, **FAMILY}.items():
        if not any(part in name for part in given.only):
            continue
        graph = make()
        gaps, bounds, took = [], [], []
        for seed in given.seeds:
            began = time.process_time()
            found = arrange(
                graph, range(len(graph)), seconds=given.seconds, seed=seed, workers=given.workers or None
            )
            found.verify()
            gaps.append(str(found.smallest_gap))
            bounds.append(found.bound)
            took.append(f"{time.process_time() - began:.0f}")
        row = (name, len(graph), graph.size(), ", ".join(gaps), min(bounds), ", ".join(took))
        print("|", " | ".join(map(str, row)), "|", flush=True)


if __name__ == "__main__":
    main()
