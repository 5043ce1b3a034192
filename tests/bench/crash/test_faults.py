"""Full, read-only, forbidden, broken and vanished folders, from any step of any command that writes.

A plain line and exit code 1, the old state intact, never a traceback; once the fault is mended the season is
wholly before or wholly after, and usable.
"""

import errno
import os
import shutil

import pytest
from commands import COMMANDS, OUTPUTS, fresh, state
from judge import ends_of, usable, whole
from steps import RAISED, run, steps_of

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/fd"), reason="needs fork and Linux's /proc")  # noqa: PTH112
NEEDS_ROOM = ("open", "write", "half", "mkdir", "fsync")  # a sync tells of room that was only promised
ALL = (*NEEDS_ROOM, "rename", "remove", "chmod", "rmdir")
# Which error, at which kinds of step, and whether it lasts.
FAULTS = {
    "full": (errno.ENOSPC, NEEDS_ROOM, True),
    "over quota for a moment": (errno.EDQUOT, NEEDS_ROOM, False),
    "read-only": (errno.EROFS, ALL, True),
    "forbidden": (errno.EACCES, ("open", "rename", "remove", "mkdir", "chmod"), True),
    "broken for a moment": (errno.EIO, ALL, False),
}


class Fault:
    """An ``act`` that raises from its ``at``-th step on, or at that step only."""

    def __init__(self, at, number, kinds, lasts):
        self.at, self.number, self.kinds, self.lasts, self.count = at, number, kinds, lasts, 0

    def __call__(self, step):
        if step.kind == "written":
            return
        self.count += 1
        met = self.count >= self.at if self.lasts else self.count == self.at
        if met and step.kind in self.kinds:
            raise OSError(self.number, os.strerror(self.number), step.path)


def vanishing(folder, at):
    """An ``act`` that takes the folder away at its ``at``-th step."""
    count, busy = 0, False

    def act(step):
        nonlocal count, busy
        if not busy:
            count += step.kind != "written"
            if count == at and folder.exists():
                busy = True
                folder.rename(folder.with_name("away"))
                busy = False

    return act


def most(folder, template, command):
    """How many steps it has."""
    fresh(template, folder)
    return sum(step.kind != "written" for step in steps_of(folder, command.words(folder))[0])


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("name", [*COMMANDS, *OUTPUTS])
def test_a_fault_of_the_disk_at_any_step_is_told_and_leaves_a_whole_season(tmp_path, tally, name, fault):
    command = {**COMMANDS, **OUTPUTS}[name]
    template, folder = tmp_path / "template" / "porch", tmp_path / "work" / "porch"
    command.prepare(template)
    folder.parent.mkdir()
    ends = ends_of(template, folder, command)
    told = 0
    for at in range(1, most(folder, template, command) + 1):
        fresh(template, folder)
        said = run(folder, command.words(folder), Fault(at, *FAULTS[fault]), ends.replay)
        tally[f"faults: {fault}"] += 1
        assert said.code != RAISED, said.err
        assert said.code in (0, 1, ends.code), said.err
        assert "Traceback" not in said.err
        if said.code == 1:
            told += 1
            reason = os.strerror(FAULTS[fault][0])
            assert reason in said.err, (at, said.err)
            if "othing was changed" in said.err and "was written, but" not in said.err:
                assert state(folder) == ends.before, (at, said.err)
        elif ends.before != ends.after:  # what it says is done is done, whatever else failed
            assert whole(folder, command, ends), (at, said)
        whole(folder, command, ends)
        usable(folder, command, ends)
    assert told


@pytest.mark.parametrize("name", [*COMMANDS, *OUTPUTS])
def test_a_folder_that_vanishes_at_any_step_is_told_and_comes_back_whole(tmp_path, tally, name):
    command = {**COMMANDS, **OUTPUTS}[name]
    template, folder = tmp_path / "template" / "porch", tmp_path / "work" / "porch"
    command.prepare(template)
    folder.parent.mkdir()
    ends = ends_of(template, folder, command)
    away = folder.with_name("away")
    for at in range(1, most(folder, template, command) + 1):
        fresh(template, folder)
        shutil.rmtree(away, ignore_errors=True)
        said = run(folder, command.words(folder), vanishing(folder, at), ends.replay)
        tally["folders that vanished"] += 1
        assert said.code != RAISED, said.err
        assert said.code in (0, 1, ends.code), said.err
        assert "Traceback" not in said.err
        if said.code == 1:
            assert said.err
        if away.exists():
            assert not state(folder), at  # nothing of a season is made anew where it was
            shutil.rmtree(folder, ignore_errors=True)
            away.rename(folder)
        whole(folder, command, ends)
        usable(folder, command, ends)
