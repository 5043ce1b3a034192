"""Several processes in one season at once: each record arrives exactly once, no plan is of old data."""

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from planner.season import Store
from planner.season.load import digest
from planner.season.plan import plan_file
from planner.season.store.history import changes, kept_version

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs fork")
SCRIPT = Path(__file__).with_name("many_hands.py")


def at_once(folder, processes, seconds, *more):
    """What each process was told it did."""
    args = [sys.executable, str(SCRIPT), str(folder), str(processes), str(seconds), *more]
    done = subprocess.run(args, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def judge(folder, before, hands):
    """Assert that what was said to be done was done once, and nothing else; how many records there are."""
    rows = list(csv.DictReader(io.StringIO((folder / "pupae.csv").read_text())))
    found = {row["id"]: row["note"] for row in rows if row["id"] not in before}
    said = {}
    for hand in hands:
        assert not said.keys() & hand.get("added", {}).keys()  # no id is given twice
        said |= hand.get("added", {})
    assert found == said
    assert len(rows) == len(found) + len(before)
    marked = {row["id"] for row in rows if row["outcome"] == "failed"}
    assert marked == {name for hand in hands for name in hand.get("marked", [])}
    return len(found)


def unbroken(folder):
    """Assert that every change was made to what the one before had left, and plans of what was there then."""
    store = Store(folder)
    all_changes = changes(store.history)
    assert [c.number for c in all_changes] == list(range(1, len(all_changes) + 1))
    now: dict[str, str | None] = {}
    plans = {}
    for change in all_changes:
        for file in change.files:
            assert now.setdefault(file.name, file.before) == file.before, change.title
            now[file.name] = file.after
            if file.name == plan_file.FILE:
                plans[file.after] = now["pupae.csv"]
    assert now["pupae.csv"] == digest((folder / "pupae.csv").read_bytes())
    for change in all_changes:
        for file in change.files:
            if file.name == plan_file.FILE and file.before in plans:
                _of_its_time(kept_version(store.history, change, file), plans[file.before])
    return len(all_changes)


def _of_its_time(path: Path, pupae: str):
    plan = plan_file.parse(path.read_bytes())
    assert plan.inputs["pupae.csv"] == pupae


def test_what_three_processes_add_and_mark_at_once_arrives_exactly_once(world):
    hands = at_once(world.folder, 3, 0)
    assert all(not hand["refused"] for hand in hands)
    assert judge(world.folder, {"m1", "m2", "m3"}, hands) == 3 * (2 + 1 + 2)
    assert unbroken(world.folder) == 3 * 3 * 2
