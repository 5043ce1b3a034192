"""The next season after another one: ``new --after``, what it brings, and taking that back."""

from pathlib import Path

import pytest
from cli_world import call

from planner.emergence import known_species, profile_of
from planner.season import load

EXAMPLE = str(Path(__file__).parents[2] / "examples" / "porch-records")
LAST = """\
# The porch.
season: Porch 2027   # its name
units: in
looks: daily at 8
temperature: {file: log.csv}  # by the door
expected:
  - {pupating: 2027-07-09, count: 6}

# Where they hang.
places:
  - {line: north, length: 60, height: 50, clips_every: 2}
  - {lid: tub-2, width: 16, length: 11}
"""
TEMPERATURE = (
    '{file: "log.csv", constant: 68 F}   # the constant is the mean of Porch 2027: '
    "take it away once there are readings"
)
NEXT = f"""\
# The porch.
season: Porch 2028   # its name
units: in
looks: daily at 8
temperature: {TEMPERATURE}
# expected:
#   - {{pupating: 2027-07-09, count: 6}}

# Where they hang.
places:
  - {{line: north, length: 60, height: 50, clips_every: 2}}
  - {{lid: tub-2, width: 16, length: 11}}
"""


@pytest.fixture(autouse=True)
def _here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def last():
    Path("last").mkdir()
    Path("last/season.yaml").write_text(LAST)
    Path("last/log.csv").write_text("date,min_F,max_F\n2027-07-01,59,77\n2027-07-02,59,77\n")
    Path("last/pupae.csv").write_text("id,pupated,place\nm1,2027-07-01,tub-2\n")
    return Path("last")


def test_the_column_of_a_loggers_table_is_named_in_the_next_season_too(last):
    Path("last/season.yaml").write_text(LAST.replace("log.csv", "log.csv, column: Shelf 2"))
    Path("last/log.csv").write_text("time,Shelf 1,Shelf 2\n2027-07-01T08:00,18,20\n2027-07-01T09:00,18,20\n")
    assert call("new", "next", "--after", "last").code == 0
    assert '{file: "log.csv", column: Shelf 2, constant: 20}' in Path("next/season.yaml").read_text()
    assert call("check", "next").code == 0  # its table has no rows yet, and no such column


def test_it_takes_the_settings_over_and_leaves_what_has_passed(last):
    said = call("new", "next", "--after", "last")
    assert (said.code, said.err) == (0, "")
    assert Path("next/season.yaml").read_text() == NEXT
    assert Path("next/log.csv").read_text() == "date,min_F,max_F\n"
    assert not Path("next/earlier.yaml").exists()
    assert said.out.splitlines() == [
        "wrote next/season.yaml, next/pupae.csv, next/log.csv",
        "with the settings and 2 places of Porch 2027",
        "no emergence is recorded in Porch 2027: dates begin from the profiles",
        "left in Porch 2027: m1, which have no end on record",
        "Next: look through next/season.yaml, then 'hangplan add next' records who",
        "  pupated",
    ]
    assert call("check", "next").code == 0


def test_what_its_records_taught_is_where_the_next_dates_begin():
    said = call("new", "next", "--after", EXAMPLE, "--json")
    assert said.data == {
        "files": ["next/season.yaml", "next/pupae.csv", "next/temperatures.csv", "next/earlier.yaml"],
        "earlier": ["Garden porch 2026"],
    }
    # Its monarchs needed 134 degree-days: known to 2.4, and 0.73 of the way from the profile's 126 at the
    # most, for another season is another one.
    requirement = profile_of(load(Path("next"), known_species()), "monarch").requirement
    assert 128 < requirement < 133
    said = call("learn", "next", "--on", "2027-07-01")
    assert [line.split("  ")[1].strip() for line in said.out.splitlines()[4:8]] == [
        "requirement, degree-days", "profile", "Garden porch 2026, 34 emergences", "this season begins with",
    ]  # fmt: skip
    assert call("learn", "next", "--json").data["seasons"][0]["season"] == "Garden porch 2026"


@pytest.mark.parametrize("how", [("undo", "next"), ("learn", "next", "--forget")])
def test_one_command_takes_back_what_was_carried_over(how):
    call("new", "next", "--after", EXAMPLE)
    assert call(*how).code == 0
    assert not Path("next/earlier.yaml").exists()
    assert profile_of(load(Path("next"), known_species()), "monarch").requirement == 126
    assert Path("next/season.yaml").exists()


def test_forgetting_says_so_and_what_was_forgotten_is_not_forgotten_again():
    call("new", "next", "--after", EXAMPLE)
    said = call("learn", "next", "--forget")
    assert said.out == (
        "monarch: the profile is in force, 126 degree-days\n"
        "'hangplan undo next' takes that back; 'hangplan plan next' plans with it\n"
    )
    said = call("learn", "next", "--forget")
    assert (said.code, said.err) == (
        1, "nothing is in force that was learned of any species: the profile is\n",
    )  # fmt: skip


def test_the_third_season_knows_both_before():
    call("new", "next", "--after", EXAMPLE)
    rows = Path(EXAMPLE, "pupae.csv").read_text().replace("2026-", "2027-")
    readings = Path(EXAMPLE, "temperatures.csv").read_text().replace("2026-", "2027-")
    Path("next/pupae.csv").write_text(rows)
    Path("next/temperatures.csv").write_text(readings)
    said = call("new", "third", "--after", "next", "--json")
    assert said.data["earlier"] == ["Garden porch 2026", "Garden porch 2027"]


def test_a_name_that_is_given_is_taken(last):
    call("new", "next", "--after", "last", "--name", "Shed: #1")
    assert load(Path("next"), known_species()).name == "Shed: #1"


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (("--after", "nowhere"), 1, "--after: nowhere is no season: there is no season.yaml in it"),
        (("--after", "."), 1, "--after: . is no season: there is no season.yaml in it"),
        (("--after", "last", "--units", "cm"), 2,
         "--units: comes with --after last; change it in the new season.yaml then"),
    ],
)  # fmt: skip
def test_what_is_no_season_cannot_be_taken_over(last, arguments, code, told):
    said = call("new", "next", *arguments)
    assert (said.code, said.err.splitlines()[0]) == (code, told)
    assert not Path("next").exists()


def test_a_season_with_a_fault_is_told_with_its_line_and_nothing_is_written(last):
    Path("last/pupae.csv").write_text("id,pupated,place\nm1,2027-02-30,tub-2\n")
    said = call("new", "next", "--after", "last")
    assert (said.code, said.err.splitlines()[0]) == (
        1, "last/pupae.csv:2:4: m1: pupated: '2027-02-30': there is no such day",
    )  # fmt: skip
    assert not Path("next").exists()


def test_where_a_place_has_readings_of_its_own_a_constant_is_asked_for_until_there_are_some(last):
    own = "height: 50, temperature: {file: shelf.csv}"
    Path("last/season.yaml").write_text(LAST.replace("height: 50", own))
    Path("last/shelf.csv").write_text("date,min_F,max_F\n2027-07-01,59,77\n")
    told = " ".join(call("new", "next", "--after", "last").out.split())
    ask = "no readings of north yet: write a constant beside its file, such as {file: log.csv, constant: 23}"
    assert ask in told


def test_settings_in_one_line_are_not_taken_apart(last):
    Path("last/season.yaml").write_text("{season: Porch, places: [{lid: tub-2, width: 40, length: 28}]}\n")
    said = call("new", "next", "--after", "last")
    assert (said.code, said.err) == (
        1, "last/season.yaml: write each key in a line of its own, then it can be taken over\n",
    )  # fmt: skip


def test_a_season_that_is_there_is_not_written_over(last):
    call("new", "next", "--after", "last")
    before = Path("next/season.yaml").read_bytes()
    assert call("new", "next", "--after", "last").code == 1
    assert Path("next/season.yaml").read_bytes() == before
