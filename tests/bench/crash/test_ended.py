"""A large plan that the system ends in the middle: the best plan so far is written, or the one before stays.

By hand: ``LARGE=600,5000 KILLED='0.5 1 2' pytest tests/bench/crash/test_ended.py -n 0 -s``.
"""

import os
import shutil
import signal
import subprocess
import sys
import time

import pytest
from cli_world import call
from test_ctrl_c import BEFORE, ON, large

KILLED = os.environ.get("KILLED", "0.3 0.6 0.9 1.2 1.6 2 3 4 6 9 14 20").split()
assert large  # a fixture


@pytest.mark.parametrize("moment", [float(s) for s in KILLED])
def test_the_best_plan_so_far_is_written_where_the_system_ends_a_search(large, tmp_path, tally, moment):
    folder = tmp_path / "house"
    shutil.copytree(large, folder)
    (folder / "plan.yaml").write_text(BEFORE)
    words = [sys.executable, "-m", "planner", "plan", str(folder), "--on", ON]
    child = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    time.sleep(moment)
    child.send_signal(signal.SIGKILL)
    err = child.communicate(timeout=600)[1]  # until the process that looks after it has ended too
    if child.returncode != -signal.SIGKILL:
        pytest.skip("it was done before")
    new = (folder / "plan.yaml").read_text() != BEFORE
    tally["killed searches that left " + ("the best plan so far" if new else "the plan before")] += 1
    print(f"killed at {moment:g} s: {'a plan' if new else 'the plan before'}; {err[-60:]!r}")
    assert "Traceback" not in err
    assert ("plan.yaml is written" in err or "is written to plan.yaml" in err) == new
    if new:
        assert "keeps every rule" in call("check", str(folder), "--on", ON).out
