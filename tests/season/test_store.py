import subprocess
import sys
import threading

import pytest

from planner.season import Store, StoreError
from planner.season.load import digest
from planner.season.store import write_output


def history(store):
    return {p.name: p.read_bytes() for p in store.history.iterdir()}


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


def test_reading_a_season_does_not_import_what_only_writing_needs():
    code = "import sys, planner.season; print('filelock' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"
