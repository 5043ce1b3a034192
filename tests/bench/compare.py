"""Ours against other ways to hang a rack, side by side in one run: success, time, memory, gap reached.

Run by hand: ``python tests/bench/compare.py`` (``--seconds 30``: of the processor, for each trial). Prints
tables in Markdown for docs/performance.md and writes docs/images/compare.json, of which ``compare_plot.py``
makes the picture. Each trial is a process of its own, which may use so many seconds of the processor: how
busy the machine is matters little. Only a solution counts, checked here, never a method's word for it.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import platform
import random
import resource
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path

import networkx as nx
from rivals import METHODS, clashes

ROOT = Path(__file__).parents[2]
SIZES = (35, 100, 300, 1_000, 3_000, 10_000, 30_000, 100_000)
DAYS, FILL, MARKS = 14, 0.95, 50
KINDS = {"lines": "empty lines", "hung": "lines on which a third hangs already"}
NEEDS = {
    "ours": ("planner.engine.arrange",),
    "cp-sat": ("ortools.sat.python.cp_model",),
    "highs": ("scipy.optimize", "scipy.sparse"),
}
MEMORY = 4 * 2**30  # bytes that a trial may have


def world(kind: str, n: int, seed: int):
    """A rack of lines of up to 50 marks, everybody within two marks a neighbour; pupae due over 14 days.

    ``hung``: a third of them hang already, each on any spot where it clashes with nobody (gap 2).
    """
    rng = random.Random(seed)
    spots = round(n / FILL)
    graph = nx.Graph()
    graph.add_nodes_from(divmod(k, MARKS) for k in range(spots))
    for line, k in graph:
        graph.add_edges_from(((line, k), (line, k + d)) for d in (1, 2) if (line, k + d) in graph)
    dues = [rng.randrange(DAYS) for _ in range(n)]
    pinned: dict[int, tuple[int, int]] = {}
    if kind == "hung":
        due_at: dict[tuple[int, int], int] = {}
        every = list(graph)
        rng.shuffle(every)
        for item in range(n // 3):
            for k in range(len(every) - 1, max(-1, len(every) - 201), -1):
                spot = every[k]
                if all(abs(due_at.get(other, 99) - dues[item]) >= 2 for other in graph[spot]):
                    due_at[spot], pinned[item] = dues[item], spot
                    every[k] = every[-1]
                    every.pop()
                    break
    return graph, dues, pinned


def trial(method: str, kind: str, n: int, seed: int, gap: int) -> dict[str, float]:
    """In this process: time of the processor, peak memory, clashes (None: no answer).

    What it needs is imported before: it counts as memory, not as time.
    """
    for module in NEEDS.get(method, ()):
        importlib.import_module(module)
    graph, dues, pinned = world(kind, n, seed)
    began = time.process_time()
    found = METHODS[method](graph, dues, gap, pinned)
    took = time.process_time() - began
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    if found is not None:
        assert all(found[i] == spot for i, spot in pinned.items())
    left = None if found is None else clashes(graph, dues, gap, found)
    return {"seconds": round(took, 3), "GiB": round(peak, 3), "clashes": left}


def tried(method: str, kind: str, n: int, seed: int, gap: int, seconds: int) -> dict[str, float] | None:
    """The same in a process of its own; None when it is stopped by a limit."""

    def limits() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(
            resource.RLIMIT_AS, (MEMORY + 2**30, MEMORY + 2**30)
        )  # what is mapped, not all of it used

    done = subprocess.run(
        [sys.executable, __file__, "--trial", method, kind, str(n), str(seed), str(gap)],
        capture_output=True, text=True, check=False, preexec_fn=limits,
    )  # fmt: skip
    return json.loads(done.stdout) if done.returncode == 0 else None


def growth(seconds: int, most: int) -> list[dict[str, object]]:
    """For each kind and method: sizes as far as it goes, three seeds up to 300 pupae, gap 2."""
    rows = []
    for kind in KINDS:
        for method in METHODS:
            for n in (n for n in SIZES if n <= most):
                found = []
                for seed in range(3 if n <= 300 else 1):
                    found.append(tried(method, kind, n, seed, 2, seconds))
                    if found[0] is None:
                        break
                answers = [one for one in found if one and one["clashes"] is not None]
                row = {
                    "kind": kind, "method": method, "pupae": n, "trials": len(found),
                    "clean": sum(one["clashes"] == 0 for one in answers),
                    "clashes": max((one["clashes"] for one in answers), default=None),
                    "seconds": max((one["seconds"] for one in answers), default=None),
                    "GiB": max((one["GiB"] for one in answers), default=None),
                }  # fmt: skip
                rows.append(row)
                print(row, file=sys.stderr, flush=True)
                if not answers:
                    break  # larger ones are not tried
    return rows


def gaps(seconds: int) -> list[dict[str, object]]:
    """The widest gap for which each finds a plan without clashes within the limit, gap by gap."""
    rows = []
    for kind in KINDS:
        for n in (35, 100):
            for method in METHODS:
                reached = 0
                for gap in range(1, DAYS):
                    one = tried(method, kind, n, 0, gap, seconds)
                    if one is None or one["clashes"] != 0:
                        break
                    reached = gap
                rows.append({"kind": kind, "pupae": n, "method": method, "gap": reached})
                print(rows[-1], file=sys.stderr, flush=True)
    return rows


def table(rows: list[dict[str, object]], kind: str) -> None:
    print(f"\n{KINDS[kind]}:\n\n| pupae | {' | '.join(METHODS)} |\n|---|{'---|' * len(METHODS)}")
    for n in sorted({row["pupae"] for row in rows}):
        cells = []
        for method in METHODS:
            row = next((r for r in rows if (r["kind"], r["method"], r["pupae"]) == (kind, method, n)), None)
            if row is None:
                cells.append("–")
            elif row["seconds"] is None:
                cells.append("stopped")
            else:
                left = "" if row["clean"] == row["trials"] else f", up to {row['clashes']:,} clashes"
                cells.append(
                    f"{row['clean']}/{row['trials']}, {row['seconds']:.2f} s, {row['GiB']:.2f} GiB{left}"
                )
        print(f"| {n:,} | {' | '.join(cells)} |")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=int, default=60)
    options.add_argument("--most", type=int, default=SIZES[-1])
    options.add_argument("--trial", nargs=5, help=argparse.SUPPRESS)
    given = options.parse_args()
    if given.trial:
        method, kind, *numbers = given.trial
        print(json.dumps(trial(method, kind, *map(int, numbers))))
        return
    about = (
        f"{date.today()}, {os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"
    )
    print(f"{about}; {given.seconds} processor seconds for each trial")
    with ThreadPoolExecutor(2) as pool:
        growing = pool.submit(growth, given.seconds, given.most)
        widening = pool.submit(gaps, max(1, given.seconds // 3))
        rows, wide = growing.result(), widening.result()
    for kind in KINDS:
        table(rows, kind)
    print(f"\nWidest gap without clashes, {max(1, given.seconds // 3)} processor seconds for each gap tried:")
    print(f"\n| rack | pupae | {' | '.join(METHODS)} |\n|---|---|{'---|' * len(METHODS)}")
    for kind, n in sorted({(row["kind"], row["pupae"]) for row in wide}):
        cells = [
            str(r["gap"])
            for m in METHODS
            for r in wide
            if (r["kind"], r["pupae"], r["method"]) == (kind, n, m)
        ]
        print(f"| {KINDS[kind]} | {n} | {' | '.join(cells)} |")
    out = ROOT / "docs" / "images" / "compare.json"
    out.write_text(json.dumps({"about": about, "limit": given.seconds, "rows": rows, "gaps": wide}, indent=1))


if __name__ == "__main__":
    main()
