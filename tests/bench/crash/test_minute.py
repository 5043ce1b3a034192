"""Eight processes that add and mark in one season for a minute, while a ninth plans all the time.

And an edit by hand, which knows no lock, at any step of any command.
"""

import os
import time

import pytest
from cli_world import SETTINGS, World
from commands import COMMANDS, fresh, state
from judge import ends_of
from steps import run, steps_of
from test_many_hands import at_once, judge, unbroken

SECONDS = float(os.environ.get("SECONDS", "60"))
ROOMY = SETTINGS.replace("length: 60", "length: 900")


def test_for_a_minute_every_record_arrives_exactly_once_and_no_plan_is_of_old_data(tmp_path, tally):
    folder = tmp_path / "porch"
    folder.mkdir()
    World(folder).write("season.yaml", ROOMY)
    began = time.monotonic()
    hands = at_once(folder, 8, SECONDS, "--plan")
    tally["records of eight processes at once"] += judge(folder, {"m1", "m2", "m3"}, hands)
    tally["changes of eight processes at once"] += unbroken(folder)
    tally["plans made meanwhile"] += hands[-1]["planned"]
    refused = [text for hand in hands for text in hand["refused"]]
    tally["calls refused, all told why"] += len(refused)
    for text in refused:
        assert "another program is changing" in text or "changed while planning" in text, text
    print(f"{time.monotonic() - began:.0f} s", *sorted({text.strip() for text in refused})[:4], sep="\n")


EDITS = {"plan.yaml": b"# by hand\n", "learned.yaml": b"# by hand\n"}
HEADER, ROW = b"id,pupated,place,x,y\n", b"k1,2027-07-01,tub-3,20,20"


def edited(name, data):
    """The file with what a keeper adds to it."""
    if name in EDITS:
        return data + EDITS[name]
    data = data or HEADER
    return data + ROW + b"," * (data.partition(b"\n")[0].count(b",") - ROW.count(b",")) + b"\n"


def saving(path, at, by_rename):
    """An ``act`` that is a spreadsheet: at the ``at``-th step it saves what it finds with an addition."""
    count, busy = 0, False

    def act(step):
        nonlocal count, busy
        count += step.kind != "written" and not busy
        if count == at and not busy:
            busy = True
            data = edited(path.name, path.read_bytes() if path.exists() else b"")
            if by_rename:
                saved = path.parent.with_name("saved")
                saved.write_bytes(data)
                saved.replace(path)
            else:
                path.write_bytes(data)
            count, busy = at + 1, False

    return act


@pytest.mark.parametrize("by_rename", [False, True], ids=["in place", "by renaming"])
@pytest.mark.parametrize("name", [name for name in COMMANDS if name != "new"])
def test_an_edit_by_hand_at_any_step_is_never_written_over(tmp_path, tally, name, by_rename):
    command = COMMANDS[name]
    template, folder = tmp_path / "template" / "porch", tmp_path / "work" / "porch"
    command.prepare(template)
    folder.parent.mkdir()
    ends = ends_of(template, folder, command)
    fresh(template, folder)
    steps = [s for s in steps_of(folder, command.words(folder))[0] if s.kind != "written"]
    refused = 0
    for path in (folder / file for file in ("pupae.csv", *EDITS)):
        if path.name != "pupae.csv" and ends.before.get(path.name) == ends.after.get(path.name):
            continue
        for at, step in enumerate(steps, start=1):
            if str(path) == step.to or (str(path), "remove") == (step.path, step.kind):
                tally["moments between the last look at a file and its renaming, not tried"] += 1
                continue
            fresh(template, folder)
            said = run(folder, command.words(folder), saving(path, at, by_rename), ends.replay)
            tally["edits by hand while a command wrote"] += 1
            assert said.code in (0, 1, ends.code), said.err
            assert EDITS.get(path.name, ROW).strip() in state(folder)[path.name], (at, step, said)
            assert said.code != 1 or "changed" in said.err or f"{path.name}:" in said.err, said.err
            refused += said.code == 1
    assert refused
