"""Words that a misspelt one may be: offered only where to take one up does no harm."""

import pytest

from planner.season.reading.scalars import did_you_mean

PLACES = ["north", "lower", "tub-2", "tub-a", "m3"]


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("nort", "north"),
        ("norrth", "north"),
        ("nroth", "north"),
        ("Nerth", "north"),
        ("tub2", "tub-2"),
        ("tub_2", "tub-2"),
        ("3", "m3"),
    ],
)
def test_one_slip_of_the_hand_is_recognised(word, meant):
    assert did_you_mean(word, PLACES) == f" (did you mean '{meant}'?)"


@pytest.mark.parametrize("word", ["south", "sooth", "tub-3", "tub-b", "m33", "nrthh", "", "l"])
def test_what_may_as_well_be_another_name_is_not_changed_into_one(word):
    assert did_you_mean(word, PLACES) == ""


def test_of_two_that_are_as_near_none_is_offered():
    assert did_you_mean("nouth", ["north", "south"]) == ""
