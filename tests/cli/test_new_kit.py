"""``new --kit``: the season of a cup and a net cage."""

import re
from pathlib import Path

import pytest
from cli_world import call

from planner.season.load import load


@pytest.fixture(autouse=True)
def _here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def places(folder):
    return [(p.kind, p.name) for p in load(Path(folder), ["painted-lady", "monarch"]).places]


def test_it_has_the_cup_and_the_cage_and_nothing_else():
    said = call("new", "kit", "--kit", "10")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        "wrote kit/season.yaml and kit/pupae.csv\n"
        "Next:\n"
        "  1. measure the cup and the cage: season.yaml guesses them\n"
        "  2. hangplan add kit 3 cup (three that pupated today)\n"
        "  3. hangplan watch kit\n"
    )
    assert places("kit") == [("lid", "cup"), ("board", "wall-1")]
    text = Path("kit/season.yaml").read_text()
    assert "species: painted-lady" in text
    assert "count: 10}" in text
    assert "line:" not in text


@pytest.mark.parametrize(
    ("words", "walls"),
    [
        # painted lady, 7 cm: pins at 7, 14, 21 and 28 of 30 cm, 16 on a wall
        (["16"], 1),
        (["17"], 2),
        (["200"], 4),  # a cage has no more
        (["10", "--species", "monarch"], 3),  # 10 cm: pins at 10 and 20, 4 on a wall
        (["16", "--units", "in"], 1),  # 2.75 in: pins at 2.75, 5.5, 8.25 and 11 of 12 in
    ],
)
def test_it_has_as_many_walls_as_they_need_and_no_fault(words, walls):
    assert call("new", "kit", "--kit", *words).code == 0
    assert [kind for kind, _ in places("kit")] == ["lid", *["board"] * walls]
    assert call("check", "kit").code == 0


def test_its_pupae_can_be_planned():
    call("new", "kit", "--kit", "5", "--units", "in")
    call("add", "5", "cup", "kit", "2027-07-01", "--on", "2027-07-03")
    said = call("plan", "kit", "--on", "2027-07-03")
    assert said.code == 0
    assert re.search("No clashes", said.out)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--kit", "0"], "--kit: 0: allowed is 1 to 200"),
        (["--kit", "201"], "--kit: 201: allowed is 1 to 200"),
        (
            ["--kit", "5", "--places", "line 72"],
            "--kit is a cup and a net cage: leave --places out, or --kit",
        ),
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_written(words, told):
    said = call("new", "kit", *words)
    assert said.code == 2
    assert told in " ".join(said.err.split())
    assert not Path("kit").exists()
