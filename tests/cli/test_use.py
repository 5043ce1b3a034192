"""The season that is taken where none is named and one stands in none, and that this is said each time."""

import json
import shutil
from pathlib import Path

import pytest
from cli_world import ON, call
from typer.testing import CliRunner

from planner.cli.app import app
from planner.cli.shell.completion import complete_add, complete_mark

GONE = (
    "~/porch, the season that was chosen, is not there any more: 'hangplan use SEASON' chooses another, "
    "'hangplan use --none' none\n"
)


@pytest.fixture(autouse=True)
def home(world, tmp_path, monkeypatch):
    """The season is ~/porch, and one stands in ~/away."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / ".config"))
    (tmp_path / "away").mkdir()
    monkeypatch.chdir(tmp_path / "away")
    return tmp_path


def brief(*more):
    return call("today", "--brief", "--on", ON, *more)


def test_the_chosen_season_is_taken_anywhere_and_that_is_said():
    said = call("use", "../porch")
    assert (said.code, said.err) == (0, "")
    assert said.out == "Where you stand in no season, commands now take ~/porch.\nNext: hangplan today\n"
    said = brief()
    assert (said.code, said.err) == (0, "season: ~/porch\n")
    assert said.out == "Porch, Mon 5 Jul: nobody is likely to emerge today\n"


def test_without_a_choice_nothing_is_taken():
    said = brief()
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "season.yaml: there is no season in this folder: 'hangplan new FOLDER' writes one to start from\n"
    )


def test_without_a_name_the_season_one_stands_in_is_chosen(home, monkeypatch):
    monkeypatch.chdir("../porch")
    assert call("use").code == 0
    monkeypatch.chdir("../away")
    assert brief().err == "season: ~/porch\n"


def test_a_folder_without_a_season_cannot_be_chosen(home):
    assert call("use", "../porch").code == 0
    said = call("use")
    assert (said.code, said.out) == (1, "")
    assert "there is no season in this folder" in said.err
    assert brief().err == "season: ~/porch\n"  # what was chosen before still is


def other(folder, name):
    folder.mkdir(parents=True)
    text = Path("../porch/season.yaml").read_text()
    (folder / "season.yaml").write_text(text.replace("season: Porch", f"season: {name}"))


def test_a_season_that_is_named_or_stood_in_comes_first(home, monkeypatch):
    call("use", "../porch")
    other(home / "barn", "Barn")
    said = brief("../barn")
    assert (said.out[:5], said.err) == ("Barn,", "")
    monkeypatch.chdir(home / "barn")
    said = brief()
    assert (said.out[:5], said.err) == ("Barn,", "")


def test_also_a_folder_named_by_a_dot_comes_first(home):
    call("use", "../porch")
    said = brief(".")
    assert (said.code, said.out) == (1, "")
    assert "there is no season in this folder" in said.err


def test_within_another_season_the_chosen_one_is_not_taken(home, monkeypatch):
    """What is recorded there is surely not meant for it."""
    call("use", "../porch")
    other(home / "barn", "Barn")
    (home / "barn" / "out").mkdir()
    monkeypatch.chdir(home / "barn" / "out")
    said = call("add", "3", "tub-2")
    assert (said.code, said.out) == (1, "")
    assert "there is no season in this folder" in said.err


@pytest.mark.parametrize("name", ["pupae.csv", ".hangplan"])
def test_a_season_that_lost_its_settings_is_not_taken_for_the_chosen_one(home, monkeypatch, name):
    call("use", "../porch")
    (home / "barn" / name).mkdir(parents=True)
    monkeypatch.chdir(home / "barn")
    said = call("add", "3", "tub-2")
    assert (said.code, said.out) == (1, "")
    assert "there is no season in this folder" in said.err


def test_within_the_chosen_season_s_own_folders_it_is_taken(home, monkeypatch):
    call("use", "../porch")
    (home / "porch" / "out").mkdir()
    monkeypatch.chdir(home / "porch" / "out")
    assert brief().err == "season: ~/porch\n"


def test_it_is_recorded_into_and_that_is_said_once(home):
    call("use", "../porch")
    said = call("add", "2", "tub-2", "2027-07-05", "--on", "2027-07-05T20:00")
    assert (said.code, said.err) == (0, "season: ~/porch\n")
    assert said.out.startswith("recorded 2 pupae on lid tub-2: m4, m5\n")
    said = call("mark", "m4", "failed", "--on", "2027-07-05T21:00")
    assert (said.code, said.err.splitlines()[0]) == (0, "season: ~/porch")
    said = call("done", "m1", "--to", "north", "36", "--on", "2027-07-05T21:00")
    assert (said.code, said.err.splitlines()[0]) == (0, "season: ~/porch")
    assert said.err.count("season:") == 1
    said = call("undo")
    assert (said.code, said.err) == (0, "season: ~/porch\n")
    table = (home / "porch" / "pupae.csv").read_text()
    assert [row.split(",")[0] for row in table.splitlines()] == ["id", "m1", "m2", "m3", "m4", "m5"]


def test_a_folder_here_that_is_named_like_a_lid_is_not_taken_for_a_season(home):
    call("use", "../porch")
    Path("tub-2").mkdir()
    said = call("add", "2", "tub-2", "2027-07-05", "--on", "2027-07-05T20:00")
    assert (said.code, said.err) == (0, "season: ~/porch\n")


def test_a_lid_that_is_none_is_told_with_those_of_the_chosen_season(home):
    call("use", "../porch")
    said = call("add", "2", "tub-9", "tub-3", "2027-07-05")
    assert said.code == 2
    assert said.err == (
        "'tub-9' is neither a lid, a date nor a point, and no folder. Understood: lid tub-3, how many 2, "
        "date 2027-07-05. Write for example: hangplan add 3 tub-3 2027-07-03\n"
    )


def test_for_programs_the_answer_stays_json():
    assert call("use", "../porch", "--json").data == {
        "season": str(Path("../porch").resolve()),
        "problems": [],
    }
    said = call("check", "--json")
    assert said.data["pupae"] == 3
    assert said.err == "season: ~/porch\n"


def test_what_is_written_without_a_name_goes_into_that_season(home):
    call("use", "../porch")
    said = call("calendar", "--on", ON)
    assert (said.code, said.err) == (0, "season: ~/porch\n")
    assert (home / "porch" / "out" / "season.ics").exists()
    assert call("calendar", "--on", ON, "-o", "mine.ics").code == 0
    assert Path("mine.ics").exists()  # but what is named is named from here


@pytest.mark.parametrize("words", [("today",), ("add", "3", "tub-2"), ("mark", "m1", "emerged"), ("done",)])
def test_a_chosen_season_that_is_gone_is_told_plainly(home, words):
    call("use", "../porch")
    shutil.rmtree(home / "porch")
    said = call(*words)
    assert (said.code, said.out) == (1, "")
    assert said.err == "season: ~/porch\n" + GONE


def test_so_is_one_whose_settings_are_gone(home):
    call("use", "../porch")
    (home / "porch" / "season.yaml").unlink()
    assert brief().err == "season: ~/porch\n" + GONE


def test_it_can_be_forgotten(home):
    call("use", "../porch")
    said = call("use", "--none")
    assert (said.code, said.err) == (0, "")
    assert said.out == "No season is chosen: commands take the one you name, or stand in.\n"
    assert brief().code == 1
    assert call("use", "--none", "--json").data == {"season": None, "problems": []}  # twice does no harm


def test_a_season_and_none_is_a_wrong_call():
    said = call("use", "../porch", "--none")
    assert (said.code, said.err) == (2, "give either a season or --none\n")


@pytest.mark.parametrize("text", [b"", b"porch\n", b"\xff\0/\n", b"/" + b"x" * 20_000])
def test_a_damaged_setting_is_no_choice_or_one_that_is_gone(home, text):
    (home / ".config" / "hangplan").mkdir(parents=True)
    (home / ".config" / "hangplan" / "season").write_bytes(text)
    said = brief()
    assert (said.code, said.out) == (1, "")
    assert "Traceback" not in said.err


def test_a_setting_that_cannot_be_written_is_told(home):
    (home / ".config").write_text("")
    said = call("use", "../porch")
    assert (said.code, said.out) == (1, "")
    assert said.err == f"{home}/.config/hangplan: Not a directory\n"


def test_completion_offers_what_is_in_the_chosen_season_and_says_nothing(capsys):
    call("use", "../porch")
    assert complete_add("tub") == ["tub-2", "tub-3"]
    assert complete_mark("m") == ["m1", "m2", "m3"]
    assert capsys.readouterr() == ("", "")


def test_completing_a_call_in_the_shell_says_nothing_beside_the_offers(home):
    call("use", "../porch")
    env = {"_HANGPLAN_COMPLETE": "complete_bash", "COMP_WORDS": "hangplan add tub", "COMP_CWORD": "2"}
    result = CliRunner().invoke(app, [], prog_name="hangplan", env=env)
    assert result.stdout.split() == ["tub-2", "tub-3"]
    assert result.stderr == ""
    env = {"_HANGPLAN_COMPLETE": "complete_bash", "COMP_WORDS": "hangplan today --al", "COMP_CWORD": "2"}
    result = CliRunner().invoke(app, [], prog_name="hangplan", env=env)
    assert result.stderr == ""
    assert json.dumps(result.stdout.split()) == '["--all"]'


def test_tags_are_those_of_the_chosen_season_too():
    assert call("plan", "../porch", "--on", ON, "--seconds", "1").code == 0
    assert call("use", "../porch").code == 0
    said = call("tags", "m2", "--json")
    assert (said.code, said.data["tags"]) == (0, ["m2"])
    assert said.err.startswith("season: ~/porch\n")
