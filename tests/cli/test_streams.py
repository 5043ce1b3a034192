"""Answers that cannot be shown: what is recorded is recorded once, ends with 0, and says so where it can.

Streams are made by the shell: closed, full, or a pipe whose reader is gone before anything is written.
"""

import os
import subprocess
import sys

import pytest
from cli_world import ON, call

pytestmark = pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device here")  # noqa: PTH110
HANGPLAN = f"{sys.executable} -m planner"
ADD = f"add 2 tub-2 porch --pupated 2027-07-04 --on {ON}"
FULL = "The answer could not be shown: No space left on device\n"
CLOSED = "The answer could not be shown: stdout is closed\n"
BROKEN = "The answer could not be shown: Broken pipe\n"
DONE = "is done: do not repeat it."


def shell(command, **env):
    """Run by bash, whose exit code is that of hangplan, the first of a pipe."""
    done = subprocess.run(
        ["bash", "-c", f"{HANGPLAN} {command}; exit ${{PIPESTATUS[0]}}"],
        capture_output=True, text=True, timeout=60, check=False, env={**os.environ, **env},
    )  # fmt: skip
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    return done


@pytest.mark.parametrize(
    ("command", "file", "said"),
    [
        (f"{ADD} >&-", "pupae.csv", f"'add m4, m5' {DONE} {CLOSED}"),
        (f"{ADD} >/dev/full", "pupae.csv", f"'add m4, m5' {DONE} {FULL}"),
        (f"{ADD} --json >/dev/full", "pupae.csv", f"'add m4, m5' {DONE} {FULL}"),
        (f"{ADD} | true", "pupae.csv", f"'add m4, m5' {DONE} {BROKEN}"),
        (f"{ADD} >&- 2>&- <&-", "pupae.csv", ""),
        (f"{ADD} >/dev/full 2>/dev/full", "pupae.csv", ""),
        (f"mark m1 failed porch --on {ON} >&-", "pupae.csv", f"'mark m1 failed' {DONE} {CLOSED}"),
        (f"done m2 porch --on {ON} | true", "pupae.csv", f"'done m2' {DONE} {BROKEN}"),
        (f"plan porch --on {ON} --seconds 0.1 >&-", "plan.yaml", f"'plan' {DONE} {CLOSED}"),
        (f"plan porch --on {ON} --seconds 0.1 >&- 2>&- <&-", "plan.yaml", ""),
    ],
)
def test_what_is_recorded_ends_with_0_and_is_told_where_it_can_be(world, command, file, said):
    world.plan()
    before = world.read(file)
    done = shell(command)
    assert (done.returncode, done.stderr[-len(said) :] if said else "") == (0, said)
    assert world.read(file) != before


def test_a_season_that_was_made_is_told_of(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = shell("new yard >/dev/full")
    assert (done.returncode, done.stderr) == (0, f"'new' {DONE} {FULL}")
    assert (tmp_path / "yard" / "season.yaml").exists()


def test_taking_back_is_told_of(world):
    assert shell(f"mark m1 failed porch --on {ON}").returncode == 0
    before = world.read("pupae.csv")
    done = shell("undo porch | true")
    assert (done.returncode, done.stderr) == (0, f"'undo: mark m1 failed' {DONE} {BROKEN}")
    assert world.read("pupae.csv") != before


def test_a_drawing_that_is_written_is_told_of(world):
    world.plan()
    done = shell("calendar porch >/dev/full")
    assert (done.returncode, done.stderr) == (0, f"porch/out/season.ics is written. {FULL}")


@pytest.mark.usefixtures("world")
@pytest.mark.parametrize(
    ("command", "code", "said"),
    [
        (f"check porch --on {ON} >&-", 1, "output: stdout is closed\n"),
        (f"check porch --on {ON} | true", 1, ""),
        (f"today porch --on {ON} --json >/dev/full", 1, "output: No space left on device\n"),
        (f"today porch --on {ON} >&- 2>&-", 1, ""),
        (f"today porch --on {ON} <&- 2>&-", 0, ""),
        ("--help >/dev/full", 1, "output: No space left on device\n"),
        ("--help | true", 1, ""),
        ("--version >&-", 1, "output: stdout is closed\n"),
        ("fly 2>&-", 2, ""),
        ("fly 2>/dev/full", 2, ""),
        ("check nowhere 2>/dev/full", 1, ""),
        ("check porch --gap --json >/dev/full", 2, "output: No space left on device\n"),
    ],
)
def test_an_answer_that_is_lost_is_a_fault_but_where_its_reader_has_gone(command, code, said):
    done = shell(command)
    assert (done.returncode, done.stderr) == (code, said)


def test_nothing_piped_in_is_no_sketch(world):
    before = world.files()
    done = shell(f"add tub-2 porch --sketch - --on {ON} <&-")
    assert done.returncode == 1
    assert done.stderr.startswith("stdin")
    assert world.files() == before


@pytest.mark.parametrize(
    "env",
    [
        {"PYTHONIOENCODING": "ascii", "LC_ALL": "C", "COLUMNS": "1"},
        {"LC_ALL": "POSIX", "COLUMNS": "0"},
        {"TERM": "", "HOME": "", "LANG": "", "COLUMNS": "-3"},
    ],
)
def test_a_poor_environment_changes_no_record(world, env):
    world.write("season.yaml", world.read("season.yaml").replace("season: Porch", "season: Säntis → 蝶"))
    done = shell(f"add 1 tub-2 porch --pupated 2027-07-04 --note 'größer 🦋' --on {ON}", **env)
    assert (done.returncode, done.stdout.splitlines()[0]) == (0, "recorded 1 pupa on lid tub-2: m4")
    assert "größer 🦋" in world.read("pupae.csv")
    assert shell(f"today porch --on {ON}", **env).returncode == 0


@pytest.mark.usefixtures("world")
def test_what_fails_after_a_record_is_made_does_not_ask_for_a_second_one(monkeypatch):
    def fails(*args, **options):
        raise MemoryError

    monkeypatch.setattr("planner.cli.answers.mark._report", fails)
    said = call("mark", "m1", "failed", "porch", "--on", ON)
    assert (said.code, said.err) == (
        0,
        "there is not enough memory: close other programs and try again\n"
        "'mark m1 failed' is done: do not repeat it\n",
    )
