"""Ctrl-C at any moment of a large plan: a plain line and the best plan so far, or the one before.

By hand, minutes: ``LARGE=600,5000 pytest tests/bench/crash/test_ctrl_c.py -n 0 -s``.
"""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from cli_world import call

sys.path.insert(0, str(Path(__file__).parents[1]))
from large_season import make

ON = "2027-07-11T12:00"
SIZES = [int(n) for n in os.environ.get("LARGE", "600").split(",")]
MOMENTS = os.environ.get("MOMENTS", "0.02 0.1 0.2 0.3 0.5 0.7 1 1.5 2 3 4 6 8 11 15 20 30").split()
STARTING = 0.3  # seconds within which Python itself may still be starting, which answers with a traceback
BEFORE = "the plan before"


@pytest.fixture(scope="session", params=SIZES)
def large(tmp_path_factory, request):
    folder = tmp_path_factory.mktemp("large") / "house"
    folder.mkdir()
    make(folder, request.param)
    return folder


def interrupted(folder, moments, *more):
    """Plan, with a Ctrl-C at each moment; its code, what it told, and how long it went on after the last."""
    began = time.monotonic()
    words = [sys.executable, "-m", "planner", "plan", str(folder), "--on", ON, *more]
    child = subprocess.Popen(
        words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, preexec_fn=_answers
    )
    for moment in moments:
        try:
            child.wait(max(0, began + moment - time.monotonic()))
            break
        except subprocess.TimeoutExpired:
            child.send_signal(signal.SIGINT)
    sent = time.monotonic()
    err = child.communicate(timeout=1800)[1]
    return child.returncode, err, time.monotonic() - sent


def _answers():
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # a shell lets what runs in its background ignore Ctrl-C


@pytest.mark.parametrize("twice", [False, True], ids=["once", "twice"])
@pytest.mark.parametrize("moment", [float(s) for s in MOMENTS])
def test_ctrl_c_keeps_the_best_plan_so_far_or_the_one_before(large, tmp_path, tally, moment, twice):
    folder = tmp_path / "house"
    shutil.copytree(large, folder)
    plan = folder / "plan.yaml"
    plan.write_text(BEFORE)
    code, err, after = interrupted(folder, (moment, moment + 0.3) if twice else (moment,))
    n = len((folder / "pupae.csv").read_text().splitlines()) - 1
    tally[f"interruptions of {n} pupae"] += 1
    print(f"{n} pupae, Ctrl-C {'twice ' * twice}at {moment:g} s: {code}, {after:.1f} s later; {err[-50:]!r}")
    if moment <= STARTING and "in main" not in err and code == -signal.SIGINT:
        assert plan.read_text() == BEFORE
        return
    assert "Traceback" not in err
    if plan.read_text() == BEFORE:
        assert code == 130
        assert err.endswith(("what stands\n", "nothing was done\n", "given up: nothing was written\n"))
        return
    assert code in (0, 3, 4, 130)
    said = call("check", str(folder), "--on", ON)
    assert said.code == 0, said
    assert "keeps every rule" in said.out


@pytest.mark.parametrize("seconds", ["0.001", "1", "5"])
def test_a_short_time_gives_a_verified_plan_or_a_plain_line(large, tmp_path, tally, seconds):
    folder = tmp_path / "house"
    shutil.copytree(large, folder)
    code, err, took = interrupted(folder, (), "--seconds", seconds)
    tally["short times"] += 1
    print(f"--seconds {seconds}: {code} after {took:.1f} s; {err[-50:]!r}")
    assert "Traceback" not in err
    assert code in (0, 3, 4)
    assert "keeps every rule" in call("check", str(folder), "--on", ON).out
