from importlib import resources
from pathlib import Path

import pytest
from cli_world import call, full_disk

from planner.season import Store
from planner.season.pupae import COLUMNS


@pytest.fixture(autouse=True)
def _here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_new_writes_a_season_and_says_what_comes_next():
    said = call("new", "porch")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        "wrote porch/season.yaml and porch/pupae.csv\n"
        "Next:\n"
        "  1. write into season.yaml where your pupae hang, or can: lines, boards, lids\n"
        "  2. hangplan add porch 3 tub-1 (three that pupated today on lid tub-1)\n"
        "  3. hangplan plan porch\n"
    )
    starter = resources.files("planner.cli").joinpath("starter", "season.yaml").read_bytes()
    assert Path("porch/season.yaml").read_bytes() == starter
    assert Path("porch/pupae.csv").read_text() == ",".join(COLUMNS) + "\n"


def test_the_new_season_has_no_fault_and_takes_the_pupae_of_the_message():
    call("new", "porch")
    assert call("check", "porch").out == (
        "My season: the files are in order; 0 pupae recorded, 0 present\n"
        "there is no plan yet: 'hangplan plan porch' makes one\n"
    )
    said = call(
        "add", "porch", "--pupated", "2027-07-03", "--count", "3", "--lid", "tub-1", "--on", "2027-07-03"
    )
    assert said.code == 0
    assert said.out.startswith("recorded 3 pupae on lid tub-1: m1 to m3\n")


def test_a_folder_with_spaces_is_quoted_in_what_comes_next():
    assert "  3. hangplan plan 'my porch'\n" in call("new", "my porch").out


def test_folders_above_are_made_too():
    assert call("new", "seasons/2027").code == 0
    assert Path("seasons/2027/season.yaml").exists()


@pytest.mark.parametrize("name", ["season.yaml", "pupae.csv"])
def test_a_folder_that_holds_a_season_is_left_as_it_is(name):
    Path("porch").mkdir()
    Path("porch", name).write_text("mine")
    said = call("new", "porch")
    assert (said.code, said.out) == (1, "")
    assert said.err == f"porch/{name} is there already: 'new' never writes over a season\n"
    assert [p.name for p in Path("porch").iterdir()] == [name]
    assert Path("porch", name).read_text() == "mine"


def test_a_file_in_the_place_of_the_folder_is_told():
    Path("porch").write_text("mine")
    said = call("new", "porch")
    assert (said.code, said.err) == (1, "porch is not a folder: a season is a folder\n")


def test_a_file_above_the_folder_is_told():
    Path("porch").write_text("mine")
    said = call("new", "porch/2027")
    assert (said.code, said.err) == (1, "porch/2027: Not a directory\n")


def test_a_full_disk_is_told(monkeypatch):
    monkeypatch.setattr(Store, "write", full_disk)
    said = call("new", "porch")
    assert (said.code, said.out) == (1, "")
    assert said.err == "porch/season.yaml: cannot be written: No space left on device. Nothing was changed\n"


def test_new_for_programs():
    assert call("new", "porch", "--json").data == {"files": ["porch/season.yaml", "porch/pupae.csv"]}


def test_new_needs_a_folder():
    said = call("new")
    assert said.code == 2
    assert "FOLDER" in said.err


def test_new_inside_a_season_at_any_depth_asks_for_anyway():
    call("new", "porch")
    said = call("new", "porch/a/b")
    assert said.code == 1
    inside = f"porch/a/b would be inside the season {Path('porch').resolve()}"
    assert said.err == f"{inside}: name a folder beside it, or add --anyway\n"
    assert not Path("porch/a").exists()
    assert call("new", "porch/a/b", "--anyway").code == 0
    assert call("check", "porch").code == 0
