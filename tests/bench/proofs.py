"""Whether anything false is said of small random questions, however a search ends; run by hand.

``python tests/bench/proofs.py graphs 20000 [FIRST_SEED]``: cut short somewhere, judged by trying every way.
``seasons 2000``: every level of a season's plan. ``again 2000``: of plans made again, and whether moves of
the plan before changed without need. ``ctrl-c 2000``: an interrupt at a random moment.
"""

from __future__ import annotations

import signal
import sys
import time
from collections import Counter
from pathlib import Path
from random import Random

sys.path += [str(Path(__file__).parents[1] / "planning")]

from graph_world import fault_of_arrange
from proof_world import fault_of_plan, fault_of_plan_again


def interrupted(rng: Random) -> str | None:
    """One graph, with Ctrl-C after up to 30 ms; an interrupt that ends all without an answer says nothing."""
    signal.signal(signal.SIGALRM, signal.default_int_handler)
    after = 10 ** rng.uniform(-4, -1.5)
    try:
        try:
            return fault_of_arrange(rng, lambda: signal.setitimer(signal.ITIMER_REAL, after))
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
    except KeyboardInterrupt:  # perhaps just while the timer is stopped
        return ""


KINDS = {
    "graphs": fault_of_arrange,
    "seasons": fault_of_plan,
    "again": fault_of_plan_again,
    "ctrl-c": interrupted,
}


def main() -> None:
    kind, tries, first = sys.argv[1], int(sys.argv[2]), int((sys.argv[3:] or ["0"])[0])
    seen: Counter[str] = Counter()
    began = time.monotonic()
    for seed in range(first, first + tries):
        fault = KINDS[kind](Random(seed))
        seen["not judged" if fault == "" else "false" if fault else "true"] += 1
        if fault:
            print(f"seed {seed}: {fault}", flush=True)
        if seed % 100 == 99:
            print(f"{seed + 1}: {dict(seen)}, {time.monotonic() - began:.0f} s", flush=True)
    print(f"{tries} {kind}: {dict(seen)}, {time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
