"""A change of several files, killed at every single step: wholly before or wholly after, and usable again."""

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from planner.season import Store, StoreError
from planner.season.load import digest
from planner.season.store import recover
from planner.season.store.changes import Change, Touched, dump
from planner.season.store.history import changes

BEFORE = {"pupae.csv": b"old", "plan.yaml": b"plan", "learned.yaml": None}
AFTER = {"pupae.csv": b"new", "plan.yaml": None, "learned.yaml": b"learned"}
# Every call that changes something on a disk, by the event Python's audit hooks tell of it; os.rename also
# is Path.replace. The lock's own file is not part of the change.
EVENTS = ("open", "os.rename", "os.remove", "os.chmod", "os.mkdir")


# A child for each step, which dies there without a word; prints how each ended.
DYING = """
import os, sys
sys.path.insert(0, sys.argv[1])
from pathlib import Path
import filelock
import test_store_killed as t
from planner.season import Store
real = os.fsync
def child(folder, at):
    count = 0
    def step(*_):
        nonlocal count
        count += 1
        if count == at:
            os._exit(9)
    def hook(event, args):
        if event in t.EVENTS and str(folder) in str(args[0]) and not str(args[0]).endswith("lock"):
            if event != "open" or args[1] != "r":
                step()
    store = Store(folder)
    os.fsync = lambda handle: (step(), real(handle))
    sys.addaudithook(hook)
    t.change(store)
    os._exit(0)
for at in range(1, 100):
    pid = os.fork()
    if not pid:
        child(Path(sys.argv[2]) / str(at), at)
    code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    print(code)
    if code == 0:
        break
"""


def fill(folder):
    for name, data in BEFORE.items():
        if data is not None:
            (folder / name).write_bytes(data)


def state(folder):
    return {name: (folder / name).read_bytes() if (folder / name).exists() else None for name in BEFORE}


def change(store):
    with store.locked("all three"):
        for name, data in AFTER.items():
            old = BEFORE[name]
            store.write(name, data, None if old is None else digest(old))


def leftovers(folder):
    """Everything in .hangplan that belongs to a change under way."""
    own = {p.name for p in (folder / ".hangplan").iterdir()} - {"lock", "history", "ids"}
    return own | {p.name for p in folder.rglob("*hangplan-*")}


class Killed(BaseException):
    """What no handler catches: from then on every step fails, as after the death of a process."""


class Faults:
    """Counts the steps of a change, and lets one fail: ``open``, ``write``, ``fsync``, rename, remove."""

    def __init__(self, monkeypatch, at, make):
        self.count, self.at, self.make, self.dead = 0, at, make, False
        self.where = ""
        for owner, name in (
            (os, "fsync"),
            (Path, "replace"),
            (Path, "unlink"),
            (Path, "chmod"),
            (Path, "mkdir"),
        ):
            self.wrap(monkeypatch, owner, name)
        real = Path.open

        def opened(path, mode="r", *args, **kwargs):
            if "x" not in mode and "w" not in mode:
                return real(path, mode, *args, **kwargs)
            self.step(f"open {path.name}")
            file = real(path, mode, *args, **kwargs)
            return Written(file, self, path.name)

        monkeypatch.setattr(Path, "open", opened)

    def wrap(self, monkeypatch, owner, name):
        real = getattr(owner, name)

        def wrapped(*args, **kwargs):
            self.step(f"{name} {args[0]}")
            return real(*args, **kwargs)

        monkeypatch.setattr(owner, name, wrapped)

    def step(self, where):
        self.count += 1
        if self.dead or self.count == self.at:
            self.where = self.where or where
            error = self.make()
            self.dead = isinstance(error, Killed)
            raise error


class Written:
    """A file that may fail half way through a write."""

    def __init__(self, file, faults, name):
        self.file, self.faults, self.name = file, faults, name

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.file.close()

    def write(self, data):
        self.file.write(data[: len(data) // 2])
        self.file.flush()
        self.faults.step(f"write {self.name}")
        self.file.write(data[len(data) // 2 :])

    def flush(self):
        self.file.flush()

    def fileno(self):
        return self.file.fileno()


def steps_of_a_change(tmp_path):
    folder = tmp_path / "counted"
    folder.mkdir()
    fill(folder)
    with pytest.MonkeyPatch.context() as patch:
        faults = Faults(patch, 0, Killed)
        change(Store(folder))
    return faults.count


def assert_usable(folder):
    """Whole, cleared up, its lock free, and the next change can be made."""
    found = state(folder)
    assert found in (BEFORE, AFTER)
    store = Store(folder, patience=0.5)
    with store.locked():
        pass
    assert state(folder) == found
    assert leftovers(folder) == set()
    data = found["pupae.csv"]
    store.write("pupae.csv", b"later", digest(data))
    assert (folder / "pupae.csv").read_bytes() == b"later"
    last = changes(store.history)[-1]
    assert last.files == (Touched(name="pupae.csv", before=digest(data), after=digest(b"later")),)
    return found


@pytest.mark.parametrize("again", [False, True], ids=["once", "and again while recovering"])
def test_killed_at_any_step_it_is_wholly_before_or_wholly_after(tmp_path, again):
    steps = steps_of_a_change(tmp_path)
    assert steps > 25  # three files, each written, synced and renamed twice
    outcomes = []
    for at in range(1, steps + 1, 4 if again else 1):
        folder = tmp_path / f"{at}"
        folder.mkdir()
        fill(folder)
        with pytest.MonkeyPatch.context() as patch:
            Faults(patch, at, Killed)
            with pytest.raises(Killed):
                change(Store(folder))
        if again:
            for second in range(1, 60):
                with pytest.MonkeyPatch.context() as patch:
                    faults = Faults(patch, second, Killed)
                    try:
                        with Store(folder).locked():
                            pass
                    except Killed:
                        continue
                assert faults.where == ""
                break
        recover(folder)
        outcomes.append(assert_usable(folder) == AFTER)
    # The commit is one step: before it all is old, from it on all is new.
    assert outcomes == sorted(outcomes)
    assert True in outcomes
    assert False in outcomes


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EIO])
def test_a_fault_of_the_disk_at_any_step_is_told_and_leaves_a_whole_season(tmp_path, number):
    for at in range(1, steps_of_a_change(tmp_path) + 1):
        folder = tmp_path / f"{at}"
        folder.mkdir()
        fill(folder)
        said = ""
        with pytest.MonkeyPatch.context() as patch:
            faults = Faults(patch, at, lambda: OSError(number, os.strerror(number)))
            try:
                change(Store(folder))
            except StoreError as e:
                said = str(e)
        if "Nothing was changed" in said:
            assert state(folder) == BEFORE, faults.where
        elif said:
            assert "was written, but the disk does not confirm it" in said, faults.where
        recover(folder)
        assert_usable(folder)


@pytest.mark.skipif(os.name != "posix", reason="needs os._exit as a sudden death")
def test_a_process_that_dies_at_any_system_call_leaves_a_whole_season(tmp_path):
    for at in range(1, 100):
        (tmp_path / f"{at}").mkdir()
        fill(tmp_path / f"{at}")
    args = [sys.executable, "-c", DYING, str(Path(__file__).parent), str(tmp_path)]
    codes = [int(code) for code in subprocess.check_output(args).split()]
    assert set(codes[:-1]) == {9}
    assert codes[-1] == 0  # it did not die any more: every step has had its turn
    assert len(codes) > 25
    found = []
    for at in range(1, len(codes) + 1):
        recover(tmp_path / f"{at}")
        found.append(assert_usable(tmp_path / f"{at}") == AFTER)
    assert found == sorted(found)


def interrupted(folder, at_rename):
    """A change that dies just before its ``at_rename``-th file is put in its place."""
    fill(folder)
    real, seen = Path.replace, []

    def replace(path, target):
        if target.parent == folder:
            seen.append(target)
            if len(seen) == at_rename:
                raise Killed
        return real(path, target)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "replace", replace)
        with pytest.raises(Killed):
            change(Store(folder))


def test_a_file_edited_since_is_not_overwritten_and_the_rest_is_taken_back(tmp_path):
    interrupted(tmp_path, 2)  # pupae.csv and plan.yaml are done, learned.yaml is not
    assert state(tmp_path) == {"pupae.csv": b"new", "plan.yaml": None, "learned.yaml": None}
    (tmp_path / "learned.yaml").write_bytes(b"typed by the keeper")
    said = recover(tmp_path)
    assert state(tmp_path) == {**BEFORE, "learned.yaml": b"typed by the keeper"}
    assert said.endswith(
        "had been interrupted and was dropped: learned.yaml was changed meanwhile; record it again"
    )
    assert leftovers(tmp_path) == set()
    assert changes(Store(tmp_path).history) == []


def test_a_file_edited_after_it_was_put_there_stays_and_the_rest_is_carried_out(tmp_path):
    interrupted(tmp_path, 2)
    (tmp_path / "pupae.csv").write_bytes(b"typed by the keeper")
    assert recover(tmp_path).endswith("had been interrupted and is now carried out")
    assert state(tmp_path) == {**AFTER, "pupae.csv": b"typed by the keeper"}


def test_a_change_that_is_taken_back_twice_keeps_what_it_did_not_change(tmp_path):
    """As when an undo is dropped whose pupae.csv was as before already, and that is interrupted too."""
    interrupted(tmp_path, 1)
    journal = tmp_path / ".hangplan" / "journal"
    note = json.loads(journal.read_bytes())
    note["files"][0]["after"] = note["files"][0]["before"]
    journal.write_text(json.dumps(note))
    (tmp_path / ".hangplan" / "000001-pupae.csv.new").write_bytes(b"old")
    (tmp_path / "plan.yaml").write_bytes(b"typed by the keeper")
    real, unlinked = Path.unlink, []

    def unlink(path, **options):
        unlinked.append(path)
        if path == journal:
            raise Killed
        real(path, **options)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "unlink", unlink)
        with pytest.raises(Killed):
            recover(tmp_path)
    assert len(unlinked) > 1  # the version before is gone by now
    assert "was dropped: plan.yaml was changed meanwhile" in recover(tmp_path)
    assert state(tmp_path) == {**BEFORE, "plan.yaml": b"typed by the keeper"}


def test_a_file_edited_while_the_change_is_put_in_its_place_is_not_overwritten(tmp_path):
    """A spreadsheet knows no lock: it saves after the change was decided, before it is put there."""
    fill(tmp_path)
    real = Path.replace

    def replace(path, target):
        real(path, target)
        if target.name == "journal":
            (tmp_path / "learned.yaml").write_bytes(b"typed by the keeper")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "replace", replace)
        with pytest.raises(StoreError) as caught:
            change(Store(tmp_path))
    assert str(caught.value) == (
        f"{tmp_path / 'learned.yaml'}: somebody else has changed it meanwhile: nothing was written, try again"
    )
    assert state(tmp_path) == {**BEFORE, "learned.yaml": b"typed by the keeper"}
    assert leftovers(tmp_path) == set()
    assert changes(Store(tmp_path).history) == []


def test_a_journal_that_cannot_be_understood_is_told(tmp_path):
    interrupted(tmp_path, 1)
    (tmp_path / ".hangplan" / "journal").write_bytes(b"{")
    with pytest.raises(StoreError, match=r"journal: is no note of a change: .*take this file away"):
        recover(tmp_path)


@pytest.mark.parametrize("name", ["../pupae.csv", "/etc/passwd", "a/b", "..", "", 7])
def test_a_journal_leads_to_no_file_outside_the_season(tmp_path, name):
    interrupted(tmp_path, 1)
    path = tmp_path / ".hangplan" / "journal"
    note = json.loads(path.read_bytes())
    note["files"][0]["name"] = name
    path.write_text(json.dumps(note))
    with pytest.raises(StoreError, match="is no note of a change"):
        recover(tmp_path)


def test_where_nothing_may_be_written_it_is_said_how_to_finish(tmp_path, monkeypatch):
    interrupted(tmp_path, 1)

    def replace(_path, _target):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(StoreError) as caught:
        recover(tmp_path)
    said = str(caught.value)
    assert said.startswith(f"{tmp_path}: 'all three' (")
    assert said.endswith(
        "was interrupted and cannot be finished: Read-only file system. Mend that and try again. A change "
        "was interrupted here: any hangplan command that may write into the folder finishes it"
    )


def test_a_note_comes_back_as_it_was():
    from planner.season.store.changes import parse

    change = Change(
        number=7, what="mark m1 emerged", when="2027-07-11T07:30:00+01:00", undoes=3,
        files=(Touched(name="pupae.csv", before=None, after="ab"),),
    )  # fmt: skip
    assert parse(dump(change)) == change
    assert change.title == "'mark m1 emerged' (Sun 11 Jul 07:30)"
