"""Several processes that add, mark and plan in one season at once; what each was told it did, as JSON.

``python tests/cli/many_hands.py FOLDER PROCESSES SECONDS [--plan]``; with ``--plan`` one more plans.
"""

import json
import os
import sys
import time
from pathlib import Path

from cli_world import ON, call

from planner.season.store import history

history.KEPT, history.KEPT_BYTES = 10**6, 10**12  # so that every change can be looked at afterwards
TIMES = 3  # at least, however slow the machine is


def adds_and_marks(folder, name, end):
    """Add one or two, mark one of them, and so on; all that was said to be done."""
    done = {"added": {}, "marked": [], "refused": []}
    k = 0
    while time.monotonic() < end or k < TIMES:
        k += 1
        note = f"{name}-{k}"
        said = call(
            "add", folder, str(1 + k % 2), "tub-2", "2027-07-04", "--note", note, "--json", "--on", ON
        )
        if said.code:
            done["refused"].append(said.out)
            continue
        ids = [one["id"] for one in said.data["added"]]
        done["added"] |= dict.fromkeys(ids, note)
        said = call("mark", ids[0], "failed", folder, "--on", ON)
        done["marked" if said.code == 0 else "refused"].append(ids[0] if said.code == 0 else said.err)
    return done


def plans(folder, name, end):
    """Plan again and again."""
    done = {"planned": 0, "refused": []}
    while time.monotonic() < end or not done["planned"]:
        said = call("plan", folder, "--seconds", "2", "--on", ON, "-o", f"{folder}/out/map.svg")
        if said.code in (0, 3, 4):
            done["planned"] += 1
        else:
            done["refused"].append(said.err)
    return done


def main(folder, processes, seconds, plan):
    end = time.monotonic() + seconds
    hands = [adds_and_marks] * processes + [plans] * plan
    boxes = [Path(folder).with_name(f"hand-{i}.json") for i in range(len(hands))]
    children = []
    for i, (hand, box) in enumerate(zip(hands, boxes, strict=True)):
        pid = os.fork()
        if not pid:
            try:
                box.write_text(json.dumps(hand(folder, f"hand{i}", end)))
                os._exit(0)
            finally:
                os._exit(1)
        children.append(pid)
    codes = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in children]
    assert codes == [0] * len(codes), codes
    print(json.dumps([json.loads(box.read_text()) for box in boxes]))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]), "--plan" in sys.argv)
