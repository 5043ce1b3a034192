"""A wing reach that looks as if it was measured in the other unit is noted, never refused."""

from dataclasses import replace
from pathlib import Path

import pytest

from planner.record.left_in_other_unit import other_unit
from planner.season import Pupa, Season, SpeciesEntry

PORCH = Season(folder=Path("porch"), name="Porch")


def notes(reach, units, species="monarch", **more):
    return other_unit(replace(PORCH, wing_reach=reach, units=units, species=species, **more))


def test_ten_inches_are_told_to_look_like_ten_cm():
    # 10 in are 25.4 cm; a monarch's wingspan is 10 cm, 3.94 in.
    assert notes(25.4, "in") == [
        "wing_reach in season.yaml is 10 in: usual is one wingspan, about 4 in for monarch. Was it measured "
        "in cm?"
    ]


def test_four_cm_are_told_to_look_like_four_inches():
    assert notes(4, "cm") == [
        "wing_reach in season.yaml is 4 cm: usual is one wingspan, about 10 cm for monarch. Was it measured "
        "in inches?"
    ]


@pytest.mark.parametrize(
    ("reach", "units"),
    [(10, "cm"), (5, "cm"), (20, "cm"), (10.16, "in"), (7.5 * 2.54, "in"), (2 * 2.54, "in")],
)
def test_a_keeper_s_own_margin_is_no_slip(reach, units):
    assert notes(reach, units) == []


@pytest.mark.parametrize(("inches", "noted"), [(7.8, False), (8, True)])
def test_in_inches_it_begins_at_eight_for_a_monarch(inches, noted):
    # Twice the wingspan of 10 cm are 7.87 in.
    assert bool(notes(inches * 2.54, "in")) is noted


def test_what_is_usual_depends_on_the_species():
    # A small white spans 6 cm: 6 in, 15.2 cm, are more than twice that, and no slip for a monarch.
    assert notes(6 * 2.54, "in", "cabbage-white") != []
    assert notes(6 * 2.54, "in") == []
    both = (Pupa(id="m1", species="monarch", pupated=None, place="tub"),)
    assert notes(6 * 2.54, "in", "cabbage-white", pupae=both) == []


def test_of_a_keeper_s_own_species_nothing_is_known():
    own = {"atlas": SpeciesEntry(lower=10, requirement=300)}
    assert notes(25.4, "in", "atlas", profiles=own) == []
