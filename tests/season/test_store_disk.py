"""Disks that are full, read-only or broken: the old state stays, and the message says what happened."""

import errno
import os
import shutil
from pathlib import Path

import pytest

from planner.season import Store, StoreError
from planner.season.load import digest
from planner.season.store import write_output


def history(store):
    return {p.name: p.read_bytes() for p in store.history.iterdir() if p.suffix != ".change"}


def leftovers(folder):
    return list(folder.rglob("*.hangplan-*"))


def fail(monkeypatch, name, call, number=errno.ENOSPC):
    """Let the ``call``-th use of an ``os`` function fail; says how often it was used."""
    real, used = getattr(os, name), []

    def failing(*args, **kwargs):
        used.append(args)
        if len(used) == call:
            raise OSError(number, os.strerror(number))
        return real(*args, **kwargs)

    monkeypatch.setattr(os, name, failing)
    return used


# The first write syncs, in this order: the version before, the new one, .hangplan, the season's folder and
# the one it is in, for they may be new, the journal, .hangplan; then the history and the season's folder, and
# at last history and .hangplan again.
@pytest.mark.parametrize("call", [1, 2, 3, 4, 5, 6, 7])
def test_a_full_disk_leaves_the_old_state(store, monkeypatch, call):
    used = fail(monkeypatch, "fsync", call)
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert len(used) == call
    assert str(caught.value) == (
        f"{store.folder / 'pupae.csv'}: cannot be written: No space left on device. Nothing was changed"
    )
    assert (store.folder / "pupae.csv").read_bytes() == b"old"
    assert history(store) == {}
    assert leftovers(store.folder) == []


def test_a_disk_that_does_not_confirm_the_change_is_told_as_it_is(store, monkeypatch):
    fail(monkeypatch, "fsync", 8, errno.EIO)
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert str(caught.value) == (
        f"{store.folder / 'pupae.csv'}: was written, but the disk does not confirm it: "
        "Input/output error. Look at it"
    )
    assert (store.folder / "pupae.csv").read_bytes() == b"new"
    assert history(store) == {"000001-pupae.csv": b"old"}


@pytest.mark.parametrize("name", ["open", "write"])
@pytest.mark.parametrize("which", ["pupae.csv.old", "pupae.csv.new", "journal"])
def test_a_disk_full_or_read_only_before_anything_is_written_leaves_the_old_state(
    store, monkeypatch, name, which
):
    real = Path.open

    class Full:
        def __init__(self, file):
            self.file = file

        def __enter__(self):
            return self

        def __exit__(self, *_):
            self.file.close()

        def write(self, data):
            self.file.write(data[:1])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def opened(path, mode="r", *args, **kwargs):
        if mode == "xb" and which in path.name:
            if name == "open":
                raise OSError(errno.EROFS, os.strerror(errno.EROFS))
            return Full(real(path, mode, *args, **kwargs))
        return real(path, mode, *args, **kwargs)

    monkeypatch.setattr(Path, "open", opened)
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    reason = "Read-only file system" if name == "open" else "No space left on device"
    assert str(caught.value) == (
        f"{store.folder / 'pupae.csv'}: cannot be written: {reason}. Nothing was changed"
    )
    assert (store.folder / "pupae.csv").read_bytes() == b"old"
    assert history(store) == {}
    assert leftovers(store.folder) == []


def test_a_failing_rename_leaves_the_old_state(store, monkeypatch):
    real = Path.replace

    def replace(path, target):
        if target.name == "pupae.csv":
            raise OSError(errno.EACCES, os.strerror(errno.EACCES))
        return real(path, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(
        StoreError, match=r"pupae\.csv: cannot be written: Permission denied\. Nothing was changed"
    ):
        store.write("pupae.csv", b"new", digest(b"old"))
    assert (store.folder / "pupae.csv").read_bytes() == b"old"
    assert history(store) == {}
    assert leftovers(store.folder) == []


def test_being_interrupted_leaves_the_old_state(store, monkeypatch):
    def interrupted(_handle):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        store.write("pupae.csv", b"new", digest(b"old"))
    assert (store.folder / "pupae.csv").read_bytes() == b"old"
    assert history(store) == {}
    assert leftovers(store.folder) == []


def test_a_folder_that_has_vanished_is_said(tmp_path):
    with pytest.raises(StoreError) as caught:
        Store(tmp_path / "porch").write("pupae.csv", b"new", None)
    assert str(caught.value) == f"{tmp_path / 'porch'}: there is no such folder"
    assert not (tmp_path / "porch").exists()


def test_a_folder_that_vanishes_while_it_is_written_to_is_said(store, monkeypatch):
    monkeypatch.setattr(os, "fsync", lambda _handle: shutil.rmtree(store.folder, ignore_errors=True))
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert str(caught.value) == (
        f"{store.folder / 'pupae.csv'}: cannot be written: No such file or directory. Nothing was changed"
    )


def test_a_folder_in_which_nothing_can_be_made_is_said(store, monkeypatch):
    def mkdir(_path, *_args, **_kwargs):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr(Path, "mkdir", mkdir)
    with pytest.raises(StoreError) as caught:
        store.write("pupae.csv", b"new", digest(b"old"))
    assert str(caught.value) == (
        f"{store.folder}: cannot be written: Read-only file system. Nothing was changed"
    )


def test_an_output_that_cannot_be_written_leaves_the_one_before(tmp_path, monkeypatch):
    write_output(tmp_path / "map.svg", b"map")
    fail(monkeypatch, "fsync", 1)
    with pytest.raises(StoreError) as caught:
        write_output(tmp_path / "map.svg", b"map 2")
    assert str(caught.value) == (
        f"{tmp_path / 'map.svg'}: cannot be written: No space left on device. Nothing was changed"
    )
    assert [p.name for p in tmp_path.iterdir()] == ["map.svg"]
    assert (tmp_path / "map.svg").read_bytes() == b"map"
