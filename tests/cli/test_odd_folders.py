"""Folders of odd names and kinds: what is said of them is true, and what is told to type works."""

import os
import shlex

import pytest
from cli_world import ON, call


@pytest.mark.parametrize(
    "name", ["my porch", "it's", 'q"x', "🦋", "ירוק", "-dash", "--help", "$(ls)", "#1", "a:b"]
)
def test_what_is_told_to_type_works_whatever_the_season_is_called(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    assert call("new", "--", name).code == 0
    said = call("add", "2", "tub-1", "--on", ON, "--", name)
    assert said.code == 0
    (told,) = (line for line in said.out.splitlines() if line.startswith("Next: hangplan plan"))
    assert call(*shlex.split(told)[2:], "--seconds", "0.01", "--on", ON).code == 0
    assert (tmp_path / name / "plan.yaml").exists()


def test_a_link_that_leads_nowhere_is_no_folder_to_be_made(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "porch").symlink_to("nowhere")
    assert call("check", "porch").err == "porch: is a link that leads nowhere\n"
    assert call("new", "porch").err == "porch is a link that leads nowhere\n"


def test_a_season_behind_a_link_is_one(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert call("new", "porch").code == 0
    (tmp_path / "link").symlink_to("porch")
    assert call("add", "2", "tub-1", "link", "--on", ON).code == 0
    assert call("check", "porch", "--on", ON).out.splitlines()[0].endswith("2 pupae recorded, 2 present")


@pytest.mark.skipif(os.name != "posix", reason="a folder one stands in cannot be removed there")
def test_a_folder_that_is_gone_is_not_one_without_a_season(tmp_path, monkeypatch):
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    for words in (("check",), ("add", "1", "tub-1"), ("mark", "m1", "failed"), ("plan",)):
        said = call(*words)
        assert (said.code, said.err) == (
            1,
            "the folder you stand in is gone: go to another one, or name the season from the root\n",
        )
    assert call("new", str(tmp_path / "porch")).code == 0
    assert call("check", str(tmp_path / "porch"), "--on", ON).code == 0
