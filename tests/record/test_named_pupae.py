"""Pupae as people name them in a call."""

from datetime import date
from pathlib import Path

import pytest

from planner.record.named_pupae import joined, named_pupae, pupae_at
from planner.season import Lid, Line, Pupa, Season, When

STEPS = {1: "m2", 2: "m4", 3: "m5"}


def pupa(name, place="tub-C", **more):
    return Pupa(id=name, species="monarch", pupated=When(date(2027, 7, 3)), place=place, **more)


# m3 was never there; m6 is gone; a-1 is an id with a dash in it.
PUPAE = [
    pupa("m1"), pupa("m2"), pupa("m4", "north", spot="8"), pupa("m5"), pupa("m6", outcome="emerged"),
    pupa("m10"), pupa("a-1"),
]  # fmt: skip
SEASON = Season(
    folder=Path("season"), name="test", pupae=tuple(PUPAE),
    places=(
        Lid(name="tub-C", width=40, length=28), Lid(name="tub D", width=40, length=28),
        Line(name="north", length=90, height=150, clips_every=4),
    ),
)  # fmt: skip


def named(*words):
    pupae, problems = named_pupae(SEASON, joined(words), STEPS, pupae_at(SEASON), 2027)
    return [pupa.id for pupa in pupae], problems


@pytest.mark.parametrize(
    ("words", "ids"),
    [
        ("m1", "m1"),
        ("M1 m10", "m1 m10"),
        ("m1,m2", "m1 m2"),
        ("m2-m5", "m2 m4 m5"),
        ("m2-5", "m2 m4 m5"),
        ("m5-m2", "m2 m4 m5"),
        ("m2–m5", "m2 m4 m5"),
        ("m2..m5", "m2 m4 m5"),
        ("m1 to m4 m10", "m1 m2 m4 m10"),
        ("a-1", "a-1"),
        ("step 3", "m5"),
        ("Steps 1-2", "m2 m4"),
        ("steps 2 to 3", "m4 m5"),
        ("steps 3-2", "m4 m5"),
        ("tub-C", "m1 m2 m5 m10 a-1"),
        ("TUB-c m1", "m1 m2 m5 m10 a-1"),
        ("north", "m4"),
        ("m1-m4 m2 step 1", "m1 m2 m4"),
        ("m5-m6", "m5 m6"),  # who is gone is refused, or not, by what is asked
    ],
)
def test_names_are_read(words, ids):
    assert named(*words.split()) == (ids.split(), [])


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        ("m7", "there is no pupa 'm7': recorded are a-1, m1, m2, m4 to m6, m10"),
        ("m5-m99", "there is no pupa 'm99': recorded are a-1, m1, m2, m4 to m6, m10"),
        ("m98-m99", "there is no pupa 'm98': recorded are a-1, m1, m2, m4 to m6, m10"),
        ("step 9", "the plan has no step 9: its steps are 1 to 3"),
        ("steps 2 to 9", "the plan has no steps 2 to 9: its steps are 1 to 3"),
        ("stpe 3", "'stpe 3' is not understood (did you mean 'step 3'?)"),
        ("2", "'2' is nobody's id: say 'm2', or 'step 2' for m4"),
        ("1", "'1' is nobody's id: say 'step 1' for m2"),  # m1 or a-1?
        ("1 to 3", "'1 to 3' is nobody's id: say 'step 1 to 3' for m2, m4, m5"),
        ("1-2", "'1-2' is nobody's id: say 'step 1-2' for m2, m4"),
        ("4", "there is no pupa '4' (did you mean 'm4'?)"),  # the plan has no step 4
        ("7/5", '"7/5" could be 7 May or 5 July: write --on 2027-05-07 or --on 2027-07-05'),
    ],
)
def test_what_names_nobody_is_told(words, problem):
    assert named(*words.split())[1][0] == problem


def test_a_place_where_nobody_hangs_is_told():
    assert named_pupae(SEASON, ["tub D"], {}, pupae_at(SEASON), 2027) == ([], ["tub D: nobody hangs there"])


def test_those_named_are_found_whatever_their_case_and_the_rest_is_told_in_the_order_of_the_call():
    def against(pupa):
        return ["no m1"] if pupa.id == "m1" else []

    found, problems = named_pupae(SEASON, ["M5", "m9", "m1"], {}, {}, 2027, against)
    assert [p.id for p in found] == ["m5"]
    assert len(problems) == 2
    assert problems[0].startswith("there is no pupa 'm9'")
    assert problems[1] == "no m1"
