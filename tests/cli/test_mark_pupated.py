"""A J that has shed its skin, a date that was wrong, and words that people say for what is recorded."""

import pytest
from cli_world import PUPAE, call


@pytest.fixture
def inside(world, monkeypatch):
    world.folder = world.folder.resolve()
    world.write("pupae.csv", PUPAE + "j4,,tub-2,20,20\n")
    monkeypatch.chdir(world.folder)
    return world


def test_a_j_that_has_shed_its_skin_gets_its_date(inside):
    said = call("mark", "j4", "pupated", "5 Jul 2027 21:30")
    assert (said.code, said.err) == (0, "")
    assert inside.row("j4")["pupated"] == "2027-07-05T21:30"


def test_it_is_told_how_long_it_is_soft_and_what_date_it_had(inside):
    said = call("mark", "m3", "pupated", "--on", "2027-07-04T08:00", "--json")
    assert said.data == {
        "pupated": [{"id": "m3", "pupated": "2027-07-04T08:00", "was": "2027-07-03"}], "problems": [],
    }  # fmt: skip
    said = call("mark", "m3", "pupated", "--on", "2027-07-05T08:00")  # soft for 24 h
    assert said.out.splitlines() == [
        "recorded: pupated on 5 Jul 08:00: m3",
        "m3 was recorded as pupated on 4 Jul 08:00: 'hangplan undo' takes it back",
        "soft until Tue 6 Jul 08:00: not to be touched before",
        "Next: 'hangplan plan' plans with what is now recorded",
    ]


def test_who_has_emerged_or_darkened_before_gets_no_later_date(inside):
    assert call("mark", "m1", "darkening", "--on", "2027-07-10").code == 0
    assert call("mark", "m2", "emerged", "--on", "2027-07-11").code == 0
    before = inside.files()
    said = call("mark", "m1-m2", "pupated", "--on", "2027-07-12")
    assert (said.code, said.err.splitlines()) == (
        1,
        [
            "m1: 12 Jul is after its darkening was seen, 10 Jul",
            "m2: is recorded as emerged already; to correct it, change row 3 of pupae.csv",
        ],
    )
    assert inside.files() == before


@pytest.mark.parametrize(
    ("word", "recorded"), [("dead", "failed"), ("Died", "failed"), ("out", "emerged"), ("eclosed", "emerged")]
)
def test_what_people_say_is_recorded_in_the_words_of_the_record(inside, word, recorded):
    assert call("mark", "m1", word, "--on", "2027-07-11T09:00").code == 0
    assert inside.row("m1")["outcome"] == recorded


@pytest.mark.parametrize("word", ["diseased", "sick", "dropped", "fallen"])
def test_who_is_sick_or_has_fallen_is_not_taken_for_something_else(inside, word):
    before = inside.files()
    said = call("mark", "m1", word, "--on", "2027-07-11T09:00")
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(f"'{word}' is no word of the record: w")
    assert "released" not in said.err
    assert inside.files() == before


def test_it_is_recorded_beside_a_plan_that_cannot_be_read(inside):
    inside.write("plan.yaml", "plan: 2\n")
    assert call("mark", "j4", "pupated", "5 Jul 2027").code == 0
    assert call("mark", "m1", "failed", "6 Jul 2027").code == 0
    before = inside.files()
    assert (
        call("mark", "step", "1", "failed", "6 Jul 2027").code == 1
    )  # whom a step moves only the plan knows
    assert inside.files() == before
