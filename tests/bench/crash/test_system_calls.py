"""The same deaths seen from outside: strace kills the installed command at each call that changes a season.

A second opinion on `steps`, which sees the same steps from within Python. Each death is a new interpreter.
"""

import os
import re
import shutil
import subprocess
import sys

import pytest
from commands import COMMANDS, fresh
from judge import ends_of, usable, whole

pytestmark = pytest.mark.skipif(not shutil.which("strace"), reason="needs strace")
CALLS = (
    "openat,write,pwrite64,fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,mkdir,mkdirat,chmod,fchmod,"
    "fchmodat,truncate,ftruncate,link,linkat,flock"
)
CALM = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONHASHSEED": "0"}


def traced(log, words, *options):
    args = ["strace", "-y", "-o", str(log), "-e", f"trace={CALLS}", *options]
    return subprocess.run(
        [*args, sys.executable, "-m", "planner", *words], capture_output=True, env=CALM, check=False
    )


def changing(log, folder):
    """Each system call that changes the folder, as its name and which of that name it is."""
    count, found = {}, []
    for line in log.read_text().splitlines():
        name = re.match(r"(\w+)\(", line)
        if name:
            count[name[1]] = count.get(name[1], 0) + 1
            reads = name[1] == "openat" and "O_WRONLY" not in line and "O_RDWR" not in line
            if str(folder) in line and not reads:
                found.append((name[1], count[name[1]]))
    return found


@pytest.mark.parametrize("name", ["new", "add a count", "mark"])
def test_a_command_killed_at_any_system_call_leaves_the_season_wholly_before_or_after(tmp_path, tally, name):
    command = COMMANDS[name]
    template, folder, log = tmp_path / "template" / "porch", tmp_path / "work" / "porch", tmp_path / "log"
    command.prepare(template)
    folder.parent.mkdir()
    ends = ends_of(template, folder, command)
    fresh(template, folder)
    assert traced(log, command.words(folder)).returncode == 0
    calls = changing(log, folder)
    made = []
    for call, which in calls:
        fresh(template, folder)
        done = traced(log, command.words(folder), "-e", f"inject={call}:signal=KILL:when={which}")
        assert done.returncode in (-9, 137)
        tally["deaths at a system call"] += 1
        made.append(whole(folder, command, ends))
        usable(folder, command, ends)
    assert made == sorted(made)
    assert set(made) == {False, True}
