"""A power cut after any step, of which only what was synced is certain, leaves a whole and usable season."""

import os

import pytest
from commands import COMMANDS, OUTPUTS, fresh, state
from judge import ends_of, usable, whole
from power import cuts
from steps import steps_of

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/fd"), reason="needs fork and Linux's /proc")  # noqa: PTH112
DRAWN = int(os.environ.get("DRAWN", "8"))  # disks drawn at random after each step


@pytest.mark.parametrize("name", [*COMMANDS, *OUTPUTS])
def test_after_a_power_cut_the_season_is_wholly_before_or_wholly_after(tmp_path, tally, name):
    command = {**COMMANDS, **OUTPUTS}[name]
    template, folder = tmp_path / "template" / "porch", tmp_path / "work" / "porch"
    command.prepare(template)
    folder.parent.mkdir()
    ends = ends_of(template, folder, command)
    fresh(template, folder)
    steps, said = steps_of(folder.parent, command.words(folder))
    assert said.code == ends.code
    for done, lost in cuts(template, folder, steps, DRAWN):
        tally["disks after a power cut"] += 1
        whole(folder, command, ends)
        if done == len(steps):  # what the command has said is done stays done
            assert state(folder) == ends.after
        if lost:
            usable(folder, command, ends)
