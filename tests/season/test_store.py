import subprocess
import sys
import threading
from datetime import UTC, datetime

import pytest

from planner.season import Store, StoreError
from planner.season.load import digest
from planner.season.store import write_output
from planner.season.store.changes import Touched
from planner.season.store.history import changes


def history(store):
    """The versions kept, without the notes of the changes."""
    return {p.name: p.read_bytes() for p in store.history.iterdir() if p.suffix != ".change"}


def leftovers(folder):
    return list(folder.rglob("*.hangplan-*"))


def test_a_write_replaces_the_file_and_keeps_the_version_before(store):
    store.write("pupae.csv", b"new", digest(b"old"))
    store.write("pupae.csv", b"newer", digest(b"new"))
    assert (store.folder / "pupae.csv").read_bytes() == b"newer"
    assert history(store) == {"000001-pupae.csv": b"old", "000002-pupae.csv": b"new"}
    assert leftovers(store.folder) == []


def test_that_there_was_no_file_before_is_kept_too(store):
    store.write("plan.yaml", b"plan", None)
    assert history(store) == {"000001-plan.yaml.none": b""}


def test_writes_under_one_lock_are_one_change(store):
    with store.locked():
        store.write("pupae.csv", b"new", digest(b"old"))
        store.write("plan.yaml", b"plan", None)
        store.write("pupae.csv", b"newer", digest(b"new"))
        assert (store.folder / "pupae.csv").read_bytes() == b"old"  # they are made at the end
    assert (store.folder / "pupae.csv").read_bytes() == b"newer"
    store.write("plan.yaml", b"plan 2", digest(b"plan"))
    assert history(store) == {
        "000001-pupae.csv": b"old",
        "000001-plan.yaml.none": b"",
        "000002-plan.yaml": b"plan",
    }
    assert [(n, p.name) for n, p in store.versions()] == [
        (1, "000001-plan.yaml.none"),
        (1, "000001-pupae.csv"),
        (2, "000002-plan.yaml"),
    ]


def test_writing_what_is_there_already_is_no_change(store):
    store.write("pupae.csv", b"old", digest(b"old"))
    assert history(store) == {}


def test_a_file_changed_by_somebody_else_is_not_overwritten(store):
    expect = digest(b"old")
    (store.folder / "pupae.csv").write_bytes(b"typed by the keeper")
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", expect)
    assert str(caught.value) == (
        f"{store.folder / 'pupae.csv'}: somebody else has changed it meanwhile: "
        "nothing was written, try again"
    )
    assert (store.folder / "pupae.csv").read_bytes() == b"typed by the keeper"
    assert history(store) == {}


def test_a_file_that_was_not_there_when_read_is_not_overwritten(store):
    with pytest.raises(StoreError, match="somebody else has changed it meanwhile"):
        store.write("pupae.csv", b"new", None)


def test_a_file_that_has_gone_is_not_brought_back(store):
    (store.folder / "pupae.csv").unlink()
    with pytest.raises(StoreError, match="somebody else has changed it meanwhile"):
        store.write("pupae.csv", b"new", digest(b"old"))


def test_two_programs_do_not_write_at_one_time(store):
    with Store(store.folder).locked(), pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert str(caught.value) == (
        f"{store.folder}: another program is changing this season (waited 0.1 s): try again when it is done"
    )


def test_of_many_writers_who_read_the_same_version_one_wins(store):
    results, refusals = [], []

    def attempt(i):
        try:
            Store(store.folder, patience=10).write("pupae.csv", b"new %d" % i, digest(b"old"))
            results.append(i)
        except StoreError as e:
            refusals.append(str(e))

    threads = [threading.Thread(target=attempt, args=(i,)) for i in range(8)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert len(results) == 1
    assert len(refusals) == 7
    assert all("somebody else has changed it meanwhile" in r for r in refusals)
    assert (store.folder / "pupae.csv").read_bytes() == b"new %d" % results[0]
    assert history(store) == {"000001-pupae.csv": b"old"}


def test_what_a_killed_program_left_behind_is_cleared_away(store):
    left = store.folder / ".pupae.csv.0badcafe.hangplan-tmp"
    left.write_bytes(b"half")
    store.write("pupae.csv", b"new", digest(b"old"))
    assert leftovers(store.folder) == []


@pytest.mark.parametrize("name", ["../pupae.csv", "/etc/passwd", "a/b", "", ".", ".."])
def test_only_files_of_the_folder_are_written(store, name):
    with pytest.raises(StoreError) as caught:
        store.write(name, b"new", None)
    assert str(caught.value) == f"{name}: not the name of a file in the season's folder"


def test_a_link_out_of_the_folder_is_not_followed(store, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside") / "pupae.csv"
    outside.write_bytes(b"old")
    (store.folder / "pupae.csv").unlink()
    (store.folder / "pupae.csv").symlink_to(outside)
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert str(caught.value) == (
        f"{store.folder / 'pupae.csv'}: is a link to another place, which is not followed"
    )
    assert outside.read_bytes() == b"old"


def test_a_history_that_lies_elsewhere_is_not_used(store, tmp_path_factory):
    (store.folder / ".hangplan").symlink_to(tmp_path_factory.mktemp("outside"))
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert str(caught.value) == (
        f"{store.folder / '.hangplan'}: is a link to another place, which is not followed"
    )


def test_who_may_read_a_file_stays_as_it_was(store):
    (store.folder / "pupae.csv").chmod(0o640)
    store.write("pupae.csv", b"new", digest(b"old"))
    assert (store.folder / "pupae.csv").stat().st_mode & 0o777 == 0o640


def test_an_output_is_written_into_a_folder_made_for_it(tmp_path):
    write_output(tmp_path / "out" / "map.svg", b"map")
    write_output(tmp_path / "out" / "map.svg", b"map 2")
    assert (tmp_path / "out" / "map.svg").read_bytes() == b"map 2"
    assert [p.name for p in tmp_path.rglob("*")] == ["out", "map.svg"]


def test_an_output_into_a_folder_that_is_far_from_there_is_refused(tmp_path):
    with pytest.raises(StoreError) as caught:
        write_output(tmp_path / "a" / "b" / "map.svg", b"map")
    assert str(caught.value) == (
        f"{tmp_path / 'a' / 'b' / 'map.svg'}: cannot be written: No such file or directory. "
        "Nothing was changed"
    )


@pytest.mark.parametrize("deeper", ["", "more"])
def test_a_file_where_the_folder_of_an_output_should_be_is_named(tmp_path, deeper):
    (tmp_path / "out").write_text("")
    path = tmp_path / "out" / deeper / "map.svg"
    with pytest.raises(StoreError) as caught:
        write_output(path, b"x")
    assert str(caught.value) == (
        f"{path}: cannot be written: {tmp_path / 'out'} is a file, not a folder. Nothing was changed"
    )
    assert caught.value.fault == f"{path}: cannot be written: {tmp_path / 'out'} is a file, not a folder"


def test_reading_a_season_does_not_import_what_only_writing_needs():
    code = "import sys, planner.season; print('filelock' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"


def test_where_the_block_fails_nothing_of_it_is_written(store):
    def failing():
        with store.locked():
            store.write("pupae.csv", b"new", digest(b"old"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        failing()
    with store.locked():
        pass
    assert (store.folder / "pupae.csv").read_bytes() == b"old"
    assert history(store) == {}


def test_a_file_edited_between_write_and_end_is_not_overwritten(store):
    def edited():
        with store.locked():
            store.write("pupae.csv", b"new", digest(b"old"))
            store.write("plan.yaml", b"plan", None)
            (store.folder / "pupae.csv").write_bytes(b"typed by the keeper")

    with pytest.raises(StoreError, match="somebody else has changed it meanwhile"):
        edited()
    assert (store.folder / "pupae.csv").read_bytes() == b"typed by the keeper"
    assert not (store.folder / "plan.yaml").exists()


def test_a_file_can_be_taken_away(store):
    store.write("pupae.csv", None, digest(b"old"))
    assert not (store.folder / "pupae.csv").exists()
    assert history(store) == {"000001-pupae.csv": b"old"}
    assert leftovers(store.folder) == []


def test_each_change_is_noted_with_what_made_it_and_what_it_wrote(store):
    with store.locked("mark m1 emerged"), store.locked("inner"):
        store.write("pupae.csv", b"new", digest(b"old"))
    (change,) = changes(store.history)
    assert (change.number, change.what) == (1, "mark m1 emerged")
    assert change.files == (Touched(name="pupae.csv", before=digest(b"old"), after=digest(b"new")),)
    made = datetime.fromisoformat(change.when)
    assert abs((datetime.now(UTC) - made).total_seconds()) < 60


def test_the_history_of_an_earlier_version_is_read_on(store):
    store.history.mkdir(parents=True)
    (store.history / "000007-pupae.csv").write_bytes(b"older")
    (store.history / "000007-plan.yaml.none").write_bytes(b"")
    store.write("pupae.csv", b"new", digest(b"old"))
    first, second = changes(store.history)
    assert (first.number, first.known, sorted(first.names)) == (7, False, ["plan.yaml", "pupae.csv"])
    assert (second.number, second.known) == (8, True)


def test_only_the_last_changes_are_kept(store, monkeypatch):
    monkeypatch.setattr("planner.season.store.history.KEPT", 3)
    for k in range(6):
        store.write("plan.yaml", b"%d" % k, None if k == 0 else digest(b"%d" % (k - 1)))
    assert [c.number for c in changes(store.history)] == [4, 5, 6]
    assert history(store) == {"000004-plan.yaml": b"2", "000005-plan.yaml": b"3", "000006-plan.yaml": b"4"}


def test_of_large_files_fewer_changes_are_kept_but_always_some(store, monkeypatch):
    monkeypatch.setattr("planner.season.store.history.KEPT_BYTES", 10_000)
    monkeypatch.setattr("planner.season.store.history.KEPT_LEAST", 2)
    for k in range(6):
        store.write("plan.yaml", b"%d" % k * 9000, None if k == 0 else digest(b"%d" % (k - 1) * 9000))
    assert [c.number for c in changes(store.history)] == [5, 6]
