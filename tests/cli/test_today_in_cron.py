"""The day in one line as a scheduler calls it: another folder, no terminal, hardly any environment."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def cron(tmp_path, *words):
    bare = {"HOME": str(tmp_path), "PATH": "/usr/bin:/bin", "PYTHONPATH": str(ROOT)}
    keep = {key: os.environ[key] for key in ("SYSTEMROOT",) if key in os.environ}
    argv = [sys.executable, "-m", "planner", "today", "--brief", *words]
    return subprocess.run(
        argv, cwd="/", env={**bare, **keep}, stdin=subprocess.DEVNULL, capture_output=True, timeout=120
    )


def test_it_is_one_line_on_stdout_and_ends_with_0(world, tmp_path):
    said = cron(tmp_path, str(world.folder.resolve()), "--on", "2027-07-05T08:00")
    assert (said.returncode, said.stderr) == (0, b"")
    assert said.stdout == b"Porch, Mon 5 Jul: nobody is likely to emerge today\n"


def test_a_faulty_season_is_told_on_stderr_and_ends_with_1(world, tmp_path):
    world.write("pupae.csv", "id,pupated,place\nm1,2027-02-30,tub-2\n")
    said = cron(tmp_path, str(world.folder.resolve()))
    assert (said.returncode, said.stdout) == (1, b"")
    assert said.stderr == b"pupae.csv:2:4: m1: pupated: '2027-02-30': there is no such day\n"
