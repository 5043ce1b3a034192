"""A stranger's first evening: from nothing to tags on paper, following what each command says comes next."""

import os
import re
import select
import sys
from pathlib import Path

import pytest
from cli_world import call
from typer.testing import CliRunner

from planner.cli.app import app
from planner.cli.shell.terminal import is_terminal, progress

EVENING = ("--on", "2027-07-06T20:00")
SKETCH = "a = 2027-07-03\nb = 2027-07-05\n.aa.....\n........\n..a.....\n......b.\n"


def test_four_commands_lead_from_nothing_to_tags_and_each_names_the_next(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("lid.txt").write_text(SKETCH)
    calls = (
        ("new", "porch"),
        ("add", "porch", "tub-1", "--sketch", "lid.txt", *EVENING),
        ("plan", "porch", "--seconds", "10", *EVENING),
        ("tags", "porch", *EVENING),
    )
    said = [call(*args) for args in calls]
    assert [s.code for s in said] == [0, 0, 0, 0], [s.err for s in said]
    for before, after in zip(said[:3], ("add", "plan", "tags"), strict=True):
        assert re.search(rf"hangplan {after} porch", before.out), before.out
    assert Path("porch/out/tags.pdf").read_bytes().startswith(b"%PDF")
    assert max(len(line) for s in said for line in s.out.splitlines()) <= 80


def test_a_pipe_gets_each_new_step_as_a_plain_line(capsys):
    told = []
    with progress(sys.stderr, told.append) as say:
        for text in ("fewest clashes", "fewest clashes", "least carrying"):
            say(text)
    assert told == ["... fewest clashes", "... least carrying"]
    assert capsys.readouterr().err == ""


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_a_terminal_gets_one_line_that_goes_away_with_brackets_as_they_are(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    outer, inner = os.openpty()
    told = []
    with os.fdopen(inner, "w") as stream:
        assert is_terminal(stream)
        with progress(stream, told.append) as say:
            say("[bold]shelf[/bold]")
        shown = ""
        while select.select([outer], [], [], 0.5)[0]:  # it may come in pieces
            shown += os.read(outer, 100_000).decode()
        monkeypatch.setenv("NO_COLOR", "1")
        assert not is_terminal(stream)
    os.close(outer)
    assert told == []
    assert "1. [bold]shelf[/bold]" in re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", shown)
    assert shown.rstrip("\r\n").endswith("\x1b[2K")  # the line is taken away


def test_a_shell_asks_for_completions_and_gets_them(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    call("new", ".")
    env = {
        "_HANGPLAN_COMPLETE": "complete_bash",
        "COMP_WORDS": "hangplan add tub",
        "COMP_CWORD": "2",
    }
    done = CliRunner().invoke(app, [], prog_name="hangplan", env=env)
    assert done.stdout.split() == ["tub-1", "tub-2"]
