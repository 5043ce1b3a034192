"""``learn`` on the season of cli_world, whose monarchs take 130 / (23 - 10) = 10 days, and on an example."""

import re
import shutil
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from cli_world import SETTINGS, call, full_disk

from planner.report.texts.text import columns
from planner.season import Store

OVER = "2027-09-01"
OWN = SETTINGS.replace("monarch:", "easy:") + "species: easy\n"  # a species that is all the keeper's own
HEAD = "id,pupated,place,x,y,outcome,ended\n"
TWELVE = HEAD + "".join(
    f"e{i},2027-07-{i:02},tub-2,{i},5,emerged,2027-07-{i + 12:02}\n" for i in range(1, 9)
)  # eight pupae of eight days, each twelve days later
EXAMPLE = Path(__file__).parents[2] / "examples" / "porch-records"


@pytest.fixture
def own(world):
    """A season of eight emergences, two days later than foretold."""
    world.write("season.yaml", OWN)
    world.write("pupae.csv", TWELVE)
    return world


def test_the_report_shows_before_and_after_and_changes_nothing(own):
    before = sorted(own.folder.rglob("*"))
    said = own.call("learn", on=OVER)
    assert (said.code, said.err) == (0, "")
    assert "Used: 8 emergences (of 8 pupation days)." in said.out
    assert re.search(r"requirement, degree-days +130\.0 +1[45]\d\.\d\n", said.out)
    assert re.search(r"mean error of a forecast, days +2\.00 +0\.\d\d\n", said.out)
    assert "Learning made these forecasts better" in said.out
    assert "In force: the profile, until the learned values are accepted." in said.out
    assert said.out.endswith(
        "Nothing was changed: 'hangplan learn porch --accept' puts the learned values\ninto force.\n"
    )
    assert all(columns(line) <= 80 for line in said.out.splitlines())
    assert sorted(own.folder.rglob("*")) == before


def test_with_no_emergence_there_is_nothing_to_learn_and_nothing_to_accept(world):
    said = world.call("learn")
    assert said.code == 0
    assert "monarch: 3 pupae, no emergence recorded that can be used." in said.out
    assert "--accept" not in said.out
    refused = world.call("learn", "--accept", "--yes")
    assert (refused.code, refused.out) == (1, "")
    assert refused.err == "there is nothing to accept: no emergence is recorded that can be used\n"
    assert not (world.folder / "learned.yaml").exists()


def test_accepting_puts_it_into_force_and_into_the_history(own):
    assert "Nothing was ever accepted" in own.call("learn", "--history", on=None).out
    said = own.call("learn", "--accept", "--yes", on=OVER)
    assert (said.code, said.err) == (0, "")
    assert said.out.endswith("accepted, and in force from now on: easy; wrote porch/learned.yaml\n")
    assert "accepted: 2027-09-01" in own.read("learned.yaml")
    history = own.call("learn", "--history", on=None)
    assert re.fullmatch(r"2027-09-01  easy +130\.0 -> 1\d\d\.\d .* 8 +0 +now", history.out.splitlines()[1])
    again = own.call("learn", on=OVER).out
    assert "In force: these learned values, accepted 2027-09-01." in again
    assert "Nothing was changed" not in again
    assert own.call("check").code == 0


def test_accepting_again_says_that_it_is_in_force_already(own):
    own.call("learn", "--accept", "--yes", on=OVER)
    before = own.files()
    said = own.call("learn", "--accept", "--yes", on="2027-09-02")
    assert said.out.endswith("in force already: easy\n")
    assert own.files() == before


def test_a_plan_is_stale_once_something_was_accepted(own):
    own.plan(hangs=(), moves=(), proof=(), inputs={})  # none of its inputs: all are told
    own.write("plan.yaml", own.read("plan.yaml"))
    stale = own.call("check", "--json").data["plan"]["stale"]
    assert stale == ["pupae.csv", "season.yaml"]
    said = own.call("learn", "--accept", "--yes", on=OVER)
    stale = "learned.yaml and pupae.csv and season.yaml were changed since the plan was made"
    assert stale in " ".join(said.err.split())
    assert own.call("check", "--json").data["plan"]["stale"] == ["learned.yaml", "pupae.csv", "season.yaml"]


def test_forecasts_are_made_with_what_was_accepted(own):
    own.write("pupae.csv", TWELVE + "new,2027-09-01,tub-2,30,20,,\n")
    own.call("learn", "--accept", "--yes", on="2027-09-02")
    (learned,) = own.call("learn", "--json", on="2027-09-02").data["species"]
    # A date without an hour counts from noon; at 23 °C 13 degree-days a day are gathered.
    due = datetime(2027, 9, 1, 12) + timedelta(days=learned["after"]["requirement"] / 13)
    from planner.cli.shell.season_files import open_season
    from planner.emergence import predict_all

    season = open_season(own.folder)
    forecast = predict_all(season, [season.pupa["new"]])[0]
    assert forecast is not None
    assert abs(forecast.median - due) < timedelta(minutes=1)


def test_only_the_species_named_is_accepted(own):
    own.write("season.yaml", OWN.replace("{easy:", "{other: {lower: 9, requirement: 140}, easy:"))
    two = HEAD.replace("id,", "id,species,") + "".join(
        f"{s}{i},{s},2027-07-{i:02},tub-2,{i},{y},emerged,2027-07-{i + 12:02}\n"
        for s, y in (("easy", 5), ("other", 9))
        for i in range(1, 4)
    )
    own.write("pupae.csv", two)
    said = own.call("learn", "--species", "Other", "--accept", "--yes", on=OVER)
    assert "\nother\n" in said.out
    assert "\neasy\n" not in said.out
    assert "species: \"other\"" in own.read("learned.yaml")  # fmt: skip
    assert "easy" not in own.read("learned.yaml")


def test_a_species_that_is_not_recorded_is_a_wrong_call(own):
    said = own.call("learn", "--species", "monarch", on=OVER)
    assert (said.code, said.out) == (2, "")
    assert said.err == "--species: no monarch is recorded; there are easy\n"


def test_what_would_not_come_into_force_is_not_accepted(world):
    world.write("pupae.csv", TWELVE)  # monarchs, whose requirement season.yaml states
    said = world.call("learn", "--accept", "--yes", on=OVER)
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "monarch: would not come into force: season.yaml states the requirement\n"
        "nothing was accepted; --species NAME accepts another one alone\n"
    )
    assert not (world.folder / "learned.yaml").exists()


def test_the_history_is_asked_for_alone(own):
    for more in (["--accept"], ["-o", "l.png"], ["--species", "easy"]):
        said = own.call("learn", "--history", *more)
        assert (said.code, said.out) == (2, "")
        assert said.err == "give --history alone: it shows everything that was ever accepted\n"


@pytest.mark.parametrize(("name", "start"), [("l.png", b"\x89PNG"), ("l.svg", b"<?xml"), ("l.pdf", b"%PDF")])
def test_the_plot_is_written(own, name, start):
    said = own.call("learn", "-o", name, on=OVER)
    assert (said.code, said.err) == (0, "")
    assert f"\nwrote {name}\n" in said.out
    assert Path(name).read_bytes().startswith(start)


def test_another_suffix_is_a_wrong_call(own):
    said = own.call("learn", "-o", "l.gif", on=OVER)
    assert said.code == 2
    assert said.err == "-o: 'l.gif': the suffix chooses the format: allowed is .png, .svg, .pdf\n"


def test_with_nothing_to_draw_no_picture_is_written(world):
    said = world.call("learn", "-o", "l.png")
    assert (said.code, said.out) == (1, "")
    assert said.err == ("nothing was drawn: no day of emergence is known, so there is no forecast to draw\n")
    assert not Path("l.png").exists()


def test_learn_for_programs(own):
    data = own.call("learn", "--json", on=OVER).data
    (easy,) = data.pop("species")
    assert data == {
        "on": "2027-09-01T12:00:00",
        "assumption": "23 °C throughout, as stated in season.yaml",
        "seasons": [],
        "accepted": [],
        "files": [],
    }
    assert (easy["species"], easy["records"], easy["hanging"], easy["unused"]) == ("easy", 8, 0, [])
    assert (easy["few"], easy["overruled"], easy["rate"]) == (False, "", 13)
    # 10 days by the profile, whose spread is 10 %; the record's noons are two days late.
    assert easy["before"]["days"] == pytest.approx([10, 8.355, 11.645])
    assert easy["before"]["error"] == pytest.approx(2)
    assert easy["gain"]["mean"] == pytest.approx(2 - easy["after"]["error"])
    # From noon of the 1st ten days: the 11th at noon; 1.645 × √(1² + 1/12 + s²) days either way, s of
    # the weather in the room: its sum, sd 2.80 °C × days in 8.25 days and 3.55 in 11.77, at 13 a day.
    first = easy["compared"][0]
    assert (first["pupa"], first["ended"]) == ("e1", "2027-07-13")
    assert first["before"] == {
        "median": "2027-07-11T12:00", "low": "2027-07-09T18:02", "high": "2027-07-13T06:28",
    }  # fmt: skip


def test_with_few_records_programs_get_no_errors(own):
    own.write("pupae.csv", "".join(TWELVE.splitlines(keepends=True)[:3]))
    (easy,) = own.call("learn", "--json", on=OVER).data["species"]
    assert easy["few"]
    assert easy["gain"] is None
    assert {easy[k][v] for k in ("before", "after") for v in ("error", "covered", "covered_if_right")} == {
        None
    }


def test_the_history_for_programs(own):
    own.call("learn", "--accept", "--yes", on=OVER)
    (entry,) = own.call("learn", "--history", "--json", on=None).data["history"]
    assert (entry["accepted"], entry["species"], entry["records"]) == ("2027-09-01", "easy", 8)
    assert (entry["from_requirement"], entry["replaced_by"]) == (130, None)


def test_a_full_disk_is_told(own, monkeypatch):
    monkeypatch.setattr(Store, "write", full_disk)
    said = own.call("learn", "--accept", "--yes", on=OVER)
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "porch/learned.yaml: cannot be written: No space left on device. Nothing was changed\n"
    )


def test_a_faulty_file_of_learned_values_is_told_and_kept(own):
    own.write("learned.yaml", "learned: 1\nentries: 7\n")
    said = own.call("learn", "--accept", "--yes", on=OVER)
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("learned.yaml:2:10: entries: ")
    assert own.read("learned.yaml") == "learned: 1\nentries: 7\n"


def test_a_wrong_day_is_told_first(own):
    said = own.call("learn", on="2027-02-30")
    assert (said.code, said.err) == (2, "--on: '2027-02-30': there is no such day\n")


def test_the_text_needs_neither_solver_nor_plot():
    program = (
        "import sys; from planner.cli.app import app\n"
        f"try: app(['learn', {str(EXAMPLE)!r}, '--on', '2026-08-31'])\n"
        "except SystemExit as e: assert not e.code\n"
        "print(sorted({'ortools', 'matplotlib', 'networkx'} & set(sys.modules)), file=sys.stderr)"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    assert run.stderr == "[]\n"


def test_the_example_is_learned_from_as_it_says():
    # Its monarchs needed 134 degree-days, of which 34 emergences of 10 pupation days tell: the mean of ten
    # days' errors, 0.042 each, and 34 of their own, 0.043, is known to √(0.042²/10 + 0.043²/34) = 0.015: 2.0
    # degree-days. The profile's 126, worth two days, pulls by a tenth to a fifth of 8.
    said = call("learn", str(EXAMPLE), "--on", "2026-08-31", "--json")
    assert (said.code, said.err) == (0, "")
    (monarch,) = said.data["species"]
    assert (monarch["records"], monarch["hanging"]) == (34, 4)
    assert [u["pupa"] for u in monarch["unused"]] == ["m9", "m23"]
    assert abs(monarch["after"]["requirement"] - 134) < 2 * 2.0
    assert abs(monarch["after"]["requirement"] - 134) < 134 - monarch["before"]["requirement"]
    # The true spread of one forecast, the season known: √(0.042² + 0.043²) = 0.060.
    own = monarch["after"]["spread"] * (1 - monarch["after"]["season_share"]) ** 0.5
    assert own == pytest.approx(0.060, abs=0.015)
    assert monarch["after"]["error"] < monarch["before"]["error"]


def test_the_example_is_in_order_and_can_be_accepted(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shutil.copytree(EXAMPLE, "records")
    assert call("check", "records", "--on", "2026-08-31").code == 0
    said = call("learn", "records", "--on", "2026-08-31", "--accept", "--yes", "-o", "l.pdf")
    assert (said.code, said.err) == (0, "")
    assert "accepted, and in force from now on: monarch; wrote records/learned.yaml" in said.out
    assert Path("l.pdf").read_bytes().startswith(b"%PDF")
    assert all(columns(line) <= 80 for line in said.out.splitlines())


def test_what_may_be_chance_is_not_accepted_without_a_word(own):
    # 8 emergences do not show that the learned values forecast better than the profile's; see `gain`.
    own.write("pupae.csv", "\n".join(own.read("pupae.csv").splitlines()[:4]) + "\n")
    said = own.call("learn", "--accept", "-o", "l.pdf", on=OVER)
    assert (said.code, said.out) == (2, "")
    assert " ".join(said.err.split()) == (
        "easy: the records do not show that the learned values forecast better; "
        "'hangplan learn porch --accept --yes' accepts them all the same"
    )
    assert not (own.folder / "learned.yaml").exists()
    assert not Path("l.pdf").exists()


def test_yes_is_for_accepting(own):
    said = own.call("learn", "--yes", on=OVER)
    assert (said.code, said.err) == (
        2, "--yes: it is for --accept, which puts the learned values into force\n"
    )  # fmt: skip


def test_what_was_accepted_ends_well_beside_a_plan_that_cannot_be_read(own):
    own.write("plan.yaml", "plan: [\n")
    said = own.call("learn", "--accept", "--yes", on=OVER)
    assert said.code == 0, said
    assert "accepted, and in force from now on: easy" in said.out
    assert (own.folder / "learned.yaml").exists()
