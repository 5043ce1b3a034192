"""The plan in force as days pass: only a step that would do harm is refused."""

from datetime import date
from itertools import product

import pytest
from cli_world import ON, PUPAE, World, call, good_plan

from planner.season import Hang, TooClose

HEAD = "id,pupated,place,spot,x,y,hung,outcome,ended\n"
M1, M2, M3 = (
    "m1,2027-07-01,tub-2,,5,5,,,\n", "m2,2027-07-01,tub-2,,8,5,,,\n", "m3,2027-07-03,tub-3,,5,5,,,\n",
)  # fmt: skip


def test_a_plan_whose_last_clash_is_gone_still_holds_for_its_reason_went_with_it(world):
    world.plan(
        hangs=(
            Hang(pupa="m1", place="tub-2", spot="5,5", x=5, y=5, due=date(2027, 7, 11)),
            Hang(pupa="m2", place="tub-2", spot="8,5", x=8, y=5, due=date(2027, 7, 11)),
            good_plan().hangs[2],
        ),
        moves=(good_plan().moves[1].__class__(**{**vars(good_plan().moves[1]), "step": 1}),),
        clashes=(TooClose(a="m1", b="m2", gap=0, distance=3),),
        proof=(), reason=("m1 and m2: too close.",), ways_out=("one more spot",),
    )  # fmt: skip
    assert world.call("check").code == 0
    assert world.call("mark", "m1", "failed").code != 0  # the season is named last
    assert call("mark", "m1", "failed", str(world.folder), "--on", ON).code == 0
    assert world.call("check").code == 0
    assert call("done", "m3", str(world.folder), "--on", ON).code == 0


def test_a_harmful_step_is_refused_and_the_others_go_on(world):
    world.plan()
    world.write("pupae.csv", PUPAE.replace("m3,2027-07-03", "m3,2027-07-05"))  # soft
    said = world.call("check")
    assert said.code == 1
    assert "m3 is soft until 2027-07-07 00:00" in said.out
    assert "m3" in call("done", "m3", str(world.folder), "--on", ON).err
    assert call("done", "m2", str(world.folder), "--on", ON).code == 0


def test_a_clash_made_by_the_keepers_choice_is_told_at_once_and_recorded(world):
    world.write("pupae.csv", HEAD + "m1,2027-07-01,north,4,,,2027-07-04,,\n" + M2 + M3)
    said = call("done", "m2", str(world.folder), "--to", "north", "8", "--on", ON)
    assert said.code == 0
    assert "m2 and m1 clash: they hang 4 cm apart, due less than 2 days apart" in " ".join(said.err.split())
    assert "m2,2027-07-01,north,8" in world.read("pupae.csv")


def test_a_move_done_stays_done_when_its_pupa_has_emerged(world):
    world.plan()
    gone = "m2,2027-07-01,north,4,,,2027-07-05,emerged,2027-07-11\n"
    world.write("pupae.csv", HEAD + M1 + gone + "m3,2027-07-03,north,8,,,2027-07-05,,\n")
    said = world.call("check", on="2027-07-11T20:00")
    assert (said.code, "2 of 2 moves done" in said.out) == (0, True)


def test_who_was_not_hung_yet_cannot_have_emerged_there(world):
    world.write("pupae.csv", HEAD + "m1,2027-07-01,north,4,,,2027-07-09,,\n" + M2 + M3)
    said = call("mark", "m1", "emerged", str(world.folder), "--on", "2027-07-08")
    assert said.code == 1
    assert said.err == (
        "m1: emerged on 8 Jul is before it was hung, 9 Jul: if it was hung earlier, change hung in "
        "row 2 of pupae.csv; else say with --on when\n"
    )


def test_a_cell_of_a_million_letters_is_told_in_one_short_line(world):
    world.plan()
    world.write("plan.yaml", world.read("plan.yaml").replace("pupa: m2", f"pupa: {'a' * 1_000_000}"))
    said = world.call("check")
    assert said.code == 1
    assert len(said.out) + len(said.err) < 2000


@pytest.mark.parametrize(("told", "fate"), list(product(("2027-07-04", "2027-07-05"), ("failed", "removed"))))
def test_no_record_of_what_happened_to_those_who_stay_voids_the_plan(tmp_path, told, fate):
    world = World(tmp_path)
    world.plan()
    # A J beside m1, dated as it was told to be, and one gone of those that stay: nothing any step does.
    world.write("pupae.csv", PUPAE + f"j1,{told},tub-2,6,6\n")
    assert call("mark", "j1", fate, str(world.folder), "--on", ON).code in (0, 1)
    said = world.call("check")
    assert said.code == 0, said.out
    assert call("done", str(world.folder), "--on", ON).code == 0
