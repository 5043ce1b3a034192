"""Cells of pupae.csv that a spreadsheet would take for a formula: the tool makes none, and changes none."""

import csv
import io

import pytest
from cli_world import ON, World, call

FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", '=HYPERLINK("http://x","y")')


@pytest.fixture
def world(tmp_path):
    return World(tmp_path)


def rows(world):
    return list(csv.DictReader(io.StringIO(world.read("pupae.csv"))))


@pytest.mark.parametrize("note", FORMULAS)
def test_a_note_of_the_keepers_stays_as_it_was_typed(world, note):
    assert world.call("add", "1", "tub-2", "2027-07-04", "--note", note).code == 0
    assert rows(world)[-1]["note"] == note


def test_every_cell_that_the_tool_makes_begins_with_a_letter_or_a_digit(world):
    world.plan()
    assert world.call("add", "2", "tub-2", "2027-07-04", "--at", "12.5,5", "--at", "14,5").code == 0
    assert call("done", "m2", str(world.folder), "--on", ON).code == 0
    assert call("mark", "m1", "darkening", str(world.folder), "--on", "2027-07-10T14:00").code == 0
    assert call("mark", "m1", "emerged", str(world.folder), "--on", "2027-07-11T09:00").code == 0
    found = rows(world)
    assert [r["id"] for r in found] == ["m1", "m2", "m3", "m4", "m5"]
    assert found[0]["outcome"] == "emerged"
    assert found[1]["spot"] == "4"
    cells = [cell for row in found for cell in row.values() if cell]
    assert len(cells) > 25
    assert all(cell[0].isascii() and cell[0].isalnum() for cell in cells)


@pytest.mark.parametrize("name", ["=1+1", "+north", "-north", "@north"])
def test_the_name_of_a_place_is_the_keepers_word_and_stands_in_the_record_as_it_is(world, name):
    world.write("season.yaml", world.read("season.yaml").replace("{lid: tub-2,", f"{{lid: '{name}',"))
    world.write("pupae.csv", "id,pupated,place\n")
    assert world.call("add", "1", "2027-07-04", "--lid", name).code == 0
    assert rows(world)[-1]["place"] == name
