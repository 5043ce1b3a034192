"""``plan`` on an impossible season: saved first, then explained; for people, for programs and in the file."""

import shutil
from contextlib import chdir
from pathlib import Path

import pytest
from cli_world import World

from planner.cli.shell.interrupts import GivenUp
from planner.planning.infeasible import ways_out
from planner.report.texts.sheet import SCREEN
from planner.season import Store
from planner.season.load import digest
from planner.season.plan import plan_file

EXAMPLE = Path(__file__).parents[2] / "examples" / "too-crowded"


def put_into(world):
    for name in ("season.yaml", "pupae.csv"):
        (world.folder / name).write_bytes((EXAMPLE / name).read_bytes())
    return world


@pytest.fixture
def crowded(world):
    return put_into(world)


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """The example planned once, and what was said of that; not to be changed."""
    desk = tmp_path_factory.mktemp("explained")
    (desk / "porch").mkdir()
    with chdir(desk):
        said = put_into(World(Path("porch"))).call("plan", on=ON)
    return desk / "porch", said


ON = "2027-06-10"
WAY = "12 more spots at the end of shelf: make it 78 cm long"


def test_the_reason_and_the_ways_out_are_shown_and_kept(planned):
    folder, said = planned
    assert said.code == 3
    assert "Why: 8 pupae (m1 to m8), due 15 Jun to 20 Jun, must leave tub-1, and there is\n" in said.out
    assert f"  - {WAY}\n" in said.out
    assert "Proved: they" not in said.out
    plan = plan_file.read(folder)
    assert len(plan.reason) == 2
    assert plan.ways_out[0] == WAY
    # Nobody emerges in a day, and 7 of near dates find no spots then either: a delay, and no way out.
    assert plan.ways_out[1] == (
        "Only puts it off: leave 4 pupae on their lids until Fri 11 Jun 12:00, hang the others and plan "
        "again then: m4 to m7 (plan --wait). As reckoned nobody has emerged by then, and there is no plan "
        "without clashes then either"
    )


def test_the_answer_fits_one_screen_and_all_of_it_is_told_where_it_is_asked_for(planned, crowded):
    _, said = planned
    assert len(said.out.splitlines()) <= SCREEN
    assert said.out.index("Ways out.") < said.out.index("  pupa  hangs")
    whole = " ".join(crowded.call("plan", "--explain", on=ON).out.split())
    assert "Why: 7 pupae (m1 to m7), due 15 Jun to 16 Jun, each need a spot out of reach" in whole
    assert "Proved: m4 to m7 alone cannot all be hung" in whole
    assert "Tried in vain: a smaller gap; waiting until others emerge" in whole
    assert "step pupa pupated from to before 1 m1" in whole


def test_for_programs_they_are_data(crowded):
    why = crowded.call("plan", "--json", on=ON).data["why"]
    assert why["complete"]
    assert [reason["cause"] for reason in why["reasons"]] == ["spots", "apart"]
    assert why["reasons"][1]["pupae"] == ["m4", "m5", "m6", "m7"]
    (way,) = [way for way in why["ways_out"] if way["kind"] == "spots"]
    assert (way["place"], way["count"], way["length"], way["least"]) == ("shelf", 12, 78, True)


def test_the_ones_named_wait_where_that_way_is_taken(crowded):
    said = crowded.call("plan", "--wait", on=ON)
    assert said.code == 0
    told = " ".join(said.out.split())
    assert (
        "m4 to m7 stay on their lids for now: no spot is known yet. That only puts it off: plan again, "
        "with --wait, on Fri 11 Jun 12:00." in told
    )
    plan = plan_file.read(crowded.folder)
    assert [one.pupa for one in plan.waits] == ["m4", "m5", "m6", "m7"]
    assert (plan.clashes, plan.ways_out) == ((), ())
    assert crowded.call("check", on=ON).code == 0
    # Those who hang by then leave no room, and nobody has flown: all four wait on.
    crowded.call("done", on=ON)
    again = crowded.call("plan", "--wait", on="2027-06-11")
    assert again.code == 0
    assert "m4 to m7 stay on their lids for now" in again.out


def test_the_day_sheet_says_who_waits_and_when_to_plan_again(crowded):
    crowded.call("plan", "--wait", on=ON)
    waits = "note: left on their lids for now: m4 to m7; "
    again = "'hangplan plan porch --wait' finds out"
    said = crowded.call("today", on="2027-06-10T20:00").out.replace("\n  ", " ")
    assert f"{waits}{again} on Fri 11 Jun 12:00 whether there is a spot" in said
    said = crowded.call("today", on="2027-06-11T12:00").out.replace("\n  ", " ")
    assert f"{waits}{again} now whether there is a spot" in said


def test_the_plan_is_saved_before_it_is_explained(crowded, monkeypatch):
    saved = []

    def explain(*_given):
        saved.append(plan_file.read(crowded.folder))
        raise GivenUp

    monkeypatch.setattr(ways_out, "explain_plan", explain)
    said = crowded.call("plan", on=ON)
    assert said.code == 3
    assert saved[0] == plan_file.read(crowded.folder)
    assert saved[0].clashes
    assert (saved[0].reason, saved[0].ways_out) == ((), ())


def test_a_plan_and_its_words_are_taken_back_and_done_again_as_one(planned, crowded):
    shutil.copytree(planned[0], crowded.folder, dirs_exist_ok=True)
    explained = plan_file.read(crowded.folder)
    assert explained.reason
    said = crowded.call("undo", on=None)
    assert said.code == 0
    assert plan_file.read(crowded.folder) is None
    assert crowded.call("undo", "--redo", on=None).code == 0
    assert plan_file.read(crowded.folder) == explained
    assert crowded.call("undo", on=None).code == 0
    assert plan_file.read(crowded.folder) is None


def test_words_added_after_another_change_are_taken_back_alone(crowded, monkeypatch):
    explain = ways_out.explain_plan

    def meanwhile(*given, **more):
        before = (crowded.folder / "pupae.csv").read_bytes()
        Store(crowded.folder).write("pupae.csv", before.replace(b"m8", b"m9"), digest(before))
        return explain(*given, **more)

    monkeypatch.setattr(ways_out, "explain_plan", meanwhile)
    said = crowded.call("plan", on=ON)
    assert plan_file.read(crowded.folder).reason, said.err
    crowded.call("undo", on=None)
    assert plan_file.read(crowded.folder).reason == ()
    assert "m9" in crowded.read("pupae.csv")
    crowded.call("undo", on=None)
    assert plan_file.read(crowded.folder) is not None


def test_a_good_plan_is_not_explained(world, monkeypatch):
    asked = []
    monkeypatch.setattr(ways_out, "explain_plan", lambda *given: asked.append(given))
    assert world.call("plan").code == 0
    assert asked == []
