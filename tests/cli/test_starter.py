"""The starter is one file: as it is in cm, in inches by other values of the same lines."""

import re
from pathlib import Path

import pytest
from cli_world import call

from planner.cli.answers.starter import Starter, starter
from planner.emergence import known_species, shipped
from planner.record.left_in_other_unit import other_unit
from planner.season.load import load


def written(tmp_path, **answers):
    (tmp_path / "season.yaml").write_text(Starter(**answers).text())
    return load(tmp_path, known_species())


def test_in_cm_it_is_the_file_itself():
    assert Starter().text() == starter()


def test_in_inches_it_is_of_the_same_lines_with_sensible_inches(tmp_path):
    text = Starter(units="in").text()
    assert [re.sub(r"[\d.]+|cm|in\b|A4|Letter|C|F|\s", "", line) for line in text.splitlines()] == [
        re.sub(r"[\d.]+|cm|in\b|A4|Letter|C|F|\s", "", line) for line in starter().splitlines()
    ]
    assert "# paper: Letter " in text
    season = written(tmp_path, units="in")
    assert (season.units, season.wing_reach, season.drop) == ("in", 4 * 2.54, 8 * 2.54)
    assert (season.clearance, season.lowest, season.highest) == (4.5 * 2.54, 16 * 2.54, 75 * 2.54)
    assert season.constant == pytest.approx(22.78, abs=0.01)
    north, south, cork, tub, _ = season.places
    assert (north.length, north.clips_every, south.clip_width) == (72 * 2.54, 2 * 2.54, 1.25 * 2.54)
    assert (cork.width, cork.height, cork.pins_every) == (24 * 2.54, 18 * 2.54, 2 * 2.54)
    assert (tub.width, tub.length) == (23 * 2.54, 16 * 2.54)


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("species", known_species())
def test_of_every_species_it_has_the_wingspan_and_no_fault(tmp_path, species, units):
    season = written(tmp_path, units=units, species=species)
    usual = shipped()[species].wing_reach
    assert usual - 0.2 <= season.wing_reach <= usual + 0.7  # to a quarter of an inch
    assert other_unit(season) == []


@pytest.mark.parametrize("units", ["cm", "in"])
def test_comments_begin_in_one_column_but_behind_what_is_longer(units):
    for line in (
        Starter(units=units, name="x" * 40, timezone="America/Argentina/Buenos_Aires").text().splitlines()
    ):
        if match := re.match(r"((?:# )?\w+: .*?\S) +(?=# )", line):
            assert match.end() == max(32, len(match[1]) + 3)


def test_new_writes_it_in_inches_where_asked_for(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    said = call("new", "porch", "--units", "in")
    assert (said.code, said.err) == (0, "")
    assert Path("porch/season.yaml").read_text() == Starter(units="in").text()
    assert call("check", "porch").out == (
        "My season: the files are in order; 0 pupae recorded, 0 present\n"
        "there is no plan yet: 'hangplan plan porch' makes one\n"
    )


@pytest.mark.parametrize(
    ("option", "value", "why"),
    [
        ("--units", "feet", "--units: 'feet': write cm or in"),
        ("--temperature", "73", "--temperature: 73: as °C that kills (0 to 45 °C are allowed); for "
         "Fahrenheit write '73 F'"),
        ("--places", "shelf 3", "--places: 'shelf 3': write line, board or lid and its size, such as "
         "line 180"),
        ("--name", " ", "--name: is empty"),
    ],
)  # fmt: skip
def test_a_wrong_option_is_a_wrong_call_and_nothing_is_written(tmp_path, monkeypatch, option, value, why):
    monkeypatch.chdir(tmp_path)
    said = call("new", "porch", option, value)
    assert (said.code, said.out, said.err) == (2, "", f"{why}\n")
    assert not Path("porch").exists()


@pytest.mark.parametrize(("units", "half"), [("cm", 5), ("in", 2)])
def test_the_room_for_hands_that_is_shown_is_half_the_wing_reach_in_that_unit(units, half):
    # a monarch's reach is 10 cm, 4 in
    assert f"\n# elbow_room: {half} " in Starter(units=units).text()
    assert f"\n# elbow_room: {half} " in Starter(units=units, species="monarch").text()
