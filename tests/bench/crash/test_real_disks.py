"""Small file systems that are really full or read-only, and folders of another user: as root, on Linux."""

import os
import subprocess

import pytest
from commands import COMMANDS, OUTPUTS, fresh, state
from judge import ends_of, usable, whole
from steps import RAISED, run

pytestmark = pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="mounts a file system")
PAGE = 4096
NOBODY = 65534


@pytest.fixture
def disk(tmp_path):
    """A file system of two megabytes."""
    folder = tmp_path / "disk"
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "none", folder], check=True)
    yield folder
    subprocess.run(["umount", folder], check=True)


def prepared(tmp_path, disk, name):
    command = {**COMMANDS, **OUTPUTS}[name]
    template, folder = tmp_path / "template" / "porch", disk / "porch"
    command.prepare(template)
    return command, template, folder, ends_of(template, folder, command)


def refused(said, reason):
    assert said.code == 1
    assert reason in said.err, said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize("name", [*COMMANDS, *OUTPUTS])
def test_a_disk_with_so_many_pages_left(tmp_path, disk, tally, name):
    command, template, folder, ends = prepared(tmp_path, disk, name)
    seen = set()
    for pages in (*range(0, 12, 2), 16, 40):
        fresh(template, folder)
        filler = disk / "filler"
        space = os.statvfs(disk)
        filler.write_bytes(bytes(max(0, space.f_bavail * space.f_frsize - pages * PAGE)))
        said = run(folder, command.words(folder), lambda step: None, ends.replay)
        tally["commands on a full disk"] += 1
        assert said.code != RAISED, said.err
        seen.add(said.code)
        if said.code == 1:
            refused(said, "No space left on device")
            if "was written, but not" not in said.err:
                assert state(folder) == ends.before
        filler.unlink()
        whole(folder, command, ends)
        usable(folder, command, ends)
    assert 1 in seen


@pytest.mark.parametrize("name", [*COMMANDS, *OUTPUTS])
def test_a_disk_that_is_read_only(tmp_path, disk, tally, name):
    command, template, folder, ends = prepared(tmp_path, disk, name)
    fresh(template, folder)
    subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
    said = run(folder, command.words(folder), lambda step: None, ends.replay)
    subprocess.run(["mount", "-o", "remount,rw", disk], check=True)
    tally["commands on a read-only disk"] += 1
    refused(said, "Read-only file system")
    assert state(folder) == ends.before
    usable(folder, command, ends)


@pytest.mark.parametrize("name", [*COMMANDS, *OUTPUTS])
def test_a_folder_of_somebody_else(tmp_path, disk, tally, name):
    command, template, folder, ends = prepared(tmp_path, disk, name)
    fresh(template, folder)
    for path in (disk, *disk.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    for parent in tmp_path.parents:
        if parent.stat().st_uid == os.geteuid() and str(parent).startswith("/dev/shm/"):
            parent.chmod(0o755)
    said = run(folder, command.words(folder), lambda step: None, lambda: (ends.replay(), os.setuid(NOBODY)))
    tally["commands of somebody who may not write"] += 1
    refused(said, "Permission denied")
    assert state(folder) == ends.before
    usable(folder, command, ends)
