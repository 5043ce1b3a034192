"""A plan under a real limit of memory: the best plan so far, or a plain line; never a traceback.

By hand: ``LARGE=600 MEGABYTES='300 500' pytest tests/bench/crash/test_memory.py -n 0 -s``.
"""

import os
import resource
import shutil
import subprocess
import sys

import pytest
from cli_world import call
from test_ctrl_c import BEFORE, ON, large

MEGABYTES = os.environ.get("MEGABYTES", "250 300 350 400 450 500 550 600 700").split()
assert large  # a fixture


@pytest.mark.parametrize("megabytes", [int(n) for n in MEGABYTES])
def test_a_lack_of_memory_ends_in_a_plan_or_a_plain_line(large, tmp_path, tally, megabytes):
    folder = tmp_path / "house"
    shutil.copytree(large, folder)
    (folder / "plan.yaml").write_text(BEFORE)
    words = [sys.executable, "-m", "planner", "plan", str(folder), "--on", ON, "--seconds", "10"]
    done = subprocess.run(
        words, capture_output=True, text=True, preexec_fn=lambda: _limit(megabytes), check=False
    )
    tally["plans under a limit of memory"] += 1
    new = (folder / "plan.yaml").read_text() != BEFORE
    print(
        f"{megabytes} MB: {done.returncode}, {'a plan' if new else 'the plan before'}; {done.stderr[-250:]!r}"
    )
    assert "Traceback" not in done.stderr
    if done.returncode not in (0, 3, 4):
        assert "memory" in done.stderr or "cannot be loaded" in done.stderr
    if new:
        said = call("check", str(folder), "--on", ON)
        assert "keeps every rule" in said.out, said


def _limit(megabytes):
    resource.setrlimit(resource.RLIMIT_AS, (megabytes << 20, megabytes << 20))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
