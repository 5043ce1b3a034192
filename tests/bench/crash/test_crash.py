"""A command that dies at any step of writing leaves the season wholly before or wholly after, and usable."""

import os
import re
import shutil

import pytest
from cli_world import ON, call
from dying import COMMANDS, DEAD, ends, leftovers, prepare, run_dying, state

from planner.season.table import FILE

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs fork, and os._exit as a sudden death")
ID = re.compile(rb"^([a-z]\d+),", re.MULTILINE)


def ids(files):
    return ID.findall(files.get(FILE, b""))


def after_a_death(folder, name, before, after):
    """Look at a season whose command died; return whether the change was made."""
    next_command = call("check", str(folder), "--on", ON)
    found = state(folder)
    assert found in (before, after), name
    if not (folder / "season.yaml").exists():
        assert (name, found) == ("new", {})  # a folder without a season: 'new' can be called again
        assert call("new", str(folder)).code == 0
        assert state(folder) == after
        return False
    faults = [line for line in (next_command.out + next_command.err).splitlines() if line.startswith("pupae")]
    assert faults == [], name
    assert "Traceback" not in next_command.err
    return found == after


def give_ids(folder):
    """Add one more: its id was never given before, whatever died."""
    found = re.search(rb"lid: ([\w-]+)", state(folder)["season.yaml"])
    assert found
    given = ids(state(folder))
    lid = found[1].decode()
    said = call("add", str(folder), "--lid", lid, "--pupated", "2027-07-05", "--on", "2027-07-06")
    assert said.code == 0, said.err
    now = ids(state(folder))
    assert now[: len(given)] == given
    assert len(set(now)) == len(now) == len(given) + 1
    assert leftovers(folder) == set()  # who only reads leaves them; the first that writes clears up


def die_everywhere(tmp_path, name, first=1, stride=1):
    """Let the command die at each of its steps in turn; return what became of each."""
    before, after = ends(tmp_path, name)
    assert before != after
    made = []
    for at in range(first, 400, stride):
        folder = tmp_path / f"{name}{at}" / "porch"
        prepare(folder, name)
        code = run_dying(folder, name, at)
        if code == 0:
            break
        assert code == DEAD, f"{name} at step {at} ended with {code}"
        made.append(after_a_death(folder, name, before, after))
        if made[-1] or name != "new":
            give_ids(folder)
        shutil.rmtree(folder.parent)
    return made


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_that_dies_at_any_step_leaves_the_season_wholly_before_or_after(tmp_path, name):
    made = die_everywhere(tmp_path, name)
    assert len(made) > 10
    assert made == sorted(made)  # one step decides: before it all is old, from it on all is new
    assert set(made) == {False, True}
