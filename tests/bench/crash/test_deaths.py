"""A command that dies at any step leaves the season wholly before or wholly after, and usable.

``pytest tests/bench/crash`` by hand; each death is a SIGKILL of a process that runs the real command.
"""

import os
import shutil

import pytest
from commands import COMMANDS, OUTPUTS, fresh, state
from judge import added_to, check, ends_of, usable, whole
from steps import KILLED, die_at, run, steps_of

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/fd"), reason="needs fork and Linux's /proc")  # noqa: PTH112
STRIDE = int(os.environ.get("STRIDE", "4"))  # of the steps of a long second command; 1: each
ADD = ("add", "{f}", "--lid", "tub-3", "--pupated", "2027-07-05", "--on", "2027-07-06")


def prepared(tmp_path, command):
    template, folder = tmp_path / "template" / "porch", tmp_path / "work" / "porch"
    command.prepare(template)
    folder.parent.mkdir()
    return template, folder, ends_of(template, folder, command)


def deaths(template, folder, words, stride=1, first=1, before=lambda: None):
    """Die at each step in turn, each time in a fresh copy; yield the number of the step."""
    at = first
    while True:
        fresh(template, folder)
        said = run(folder, words, die_at(at), before)
        if said.code != KILLED:
            assert said.code in (0, 1, 3), said.err
            return
        yield at
        at += stride


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_that_dies_at_any_step_leaves_the_season_wholly_before_or_after(tmp_path, tally, name):
    command = COMMANDS[name]
    template, folder, ends = prepared(tmp_path, command)
    assert ends.before != ends.after
    made = []
    for _ in deaths(template, folder, command.words(folder)):
        tally["deaths of commands that change a season"] += 1
        made.append(whole(folder, command, ends))
        usable(folder, command, ends)
    assert made == sorted(made)  # one step decides: before it all is old, from it on all is new
    assert set(made) == {False, True}


@pytest.mark.parametrize("name", OUTPUTS)
def test_a_command_that_dies_while_it_writes_an_output_leaves_the_one_before_or_a_whole_one(
    tmp_path, tally, name
):
    command = OUTPUTS[name]
    template, folder, ends = prepared(tmp_path, command)
    assert ends.before == ends.after
    assert ends.outputs
    for _ in deaths(template, folder, command.words(folder)):
        tally["deaths of commands that write an output"] += 1
        whole(folder, command, ends)
        usable(folder, command, ends)


@pytest.mark.parametrize("second", ["check", "add"])
@pytest.mark.parametrize("name", COMMANDS)
def test_the_command_that_finds_a_death_may_die_at_any_step_too(tmp_path, tally, name, second):
    command = COMMANDS[name]
    template, folder, ends = prepared(tmp_path, command)
    broken, seen = tmp_path / "broken" / "porch", set()
    for _ in deaths(template, folder, command.words(folder), before=ends.replay):
        if (look := _listing(folder)) in seen:  # the same on the disk as another step
            continue
        seen.add(look)
        shutil.rmtree(broken, ignore_errors=True)
        if not folder.exists():
            continue
        shutil.copytree(folder, broken)
        words = ("check", str(folder)) if second == "check" else [w.replace("{f}", str(folder)) for w in ADD]
        if second == "add" and "season.yaml" not in state(folder):
            words = ("new", str(folder))
        stride = STRIDE if second == "add" else 1
        for _ in deaths(broken, folder, words, stride, 1 + len(seen) % stride):
            tally["deaths while a death was being mended"] += 1
            check(folder, command)  # finishes what can be finished
            if words[0] == "add" and any(
                added_to(end, state(folder)) for end in (ends.before, ends.between, ends.after)
            ):
                continue  # the second command's own change is made as well
            if words[0] != "new":
                whole(folder, command, ends)
            usable(folder, command, ends, undo=False)


def _listing(folder):
    return frozenset(
        (str(p.relative_to(folder)), p.read_bytes() if p.is_file() else b"") for p in folder.rglob("*")
    )


def test_the_steps_seen_are_all_that_there_are(tmp_path, tally):
    """What a command leaves is what its steps made: nothing is written past the eyes of this bench."""
    command = COMMANDS["mark"]
    template, folder, _ = prepared(tmp_path, command)
    fresh(template, folder)
    before = {p for p in folder.rglob("*") if p.is_file()}
    steps, _ = steps_of(folder, command.words(folder))
    named = {s.path for s in steps} | {s.to for s in steps}
    new = {p for p in folder.rglob("*") if p.is_file()} - before
    assert {str(p) for p in new} <= named
    assert {"open", "write", "half", "fsync", "rename", "mkdir"} <= {s.kind for s in steps}
