"""A season folder of many pupae, read, planned and verified: processor seconds of each, and peak memory.

Run by hand: ``python tests/bench/large_season.py 1000 10000``. All are on lids to be cleared, 50 on each, and
go to lines with fixed marks that will be 95 % full; those nearly due stay, as the rules want it. Each size is
a process of its own; imports do not count, the map is not drawn, and "clashes" are those of pupae moved.
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from itertools import pairwise
from pathlib import Path


def make(folder: Path, n: int) -> None:
    rng = random.Random(1)
    lines = [
        f"  - {{line: l{k}, length: 804, height: 150, clips_every: 4}}" for k in range(-(-n * 21 // 4000))
    ]
    lids = [f"  - {{lid: t{k}, width: 60, length: 40, clear: true}}" for k in range(max(1, n // 50))]
    places = "\n".join(lines + lids)
    (folder / "season.yaml").write_text(f"season: Large\ntemperature: {{constant: 23}}\nplaces:\n{places}\n")
    rows = [f"m{i},2027-07-{1 + rng.randrange(9):02d},t{i % len(lids)}" for i in range(n)]
    (folder / "pupae.csv").write_text("\n".join(["id,pupated,place", *rows]) + "\n")


def measure(n: int) -> None:
    from planner.cli.shell.season_files import open_season
    from planner.planning.make_plan import make_plan
    from planner.verify import verify

    clock = time.process_time
    with tempfile.TemporaryDirectory() as name:
        make(Path(name), n)
        times = [clock()]
        season = open_season(Path(name))
        times.append(clock())
        plan = make_plan(season, datetime(2027, 7, 11, 12), workers=1)
        times.append(clock())
        assert not verify(season, plan)
        times.append(clock())
    steps = [after - before for before, after in pairwise(times)]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    moved = {move.pupa for move in plan.moves}
    clashing = sum(bool({pair.a, pair.b} & moved) for pair in plan.clashes)
    cells = [
        f"{n:,}",
        f"{len(moved):,}",
        *(f"{step:.2f}" for step in [*steps, sum(steps)]),
        f"{peak:.2f} GiB",
    ]
    proved = ", ".join(level.name for level in plan.proof if level.proved)
    print(f"| {' | '.join(cells)} | {clashing} | {proved} |", flush=True)


def main() -> None:
    if sys.argv[1:2] == ["--one"]:
        measure(int(sys.argv[2]))
        return
    print("| pupae | moved | read | planned | verified | in all, s | memory | clashes | proved |")
    print(f"|{'---|' * 9}", flush=True)
    for n in sys.argv[1:] or ["1000", "10000"]:
        subprocess.run([sys.executable, __file__, "--one", n], check=True)


if __name__ == "__main__":
    main()
