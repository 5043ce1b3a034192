"""What counts as another tag than the one made last."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.record.made_tags import MadeTags, content, read_made, write_made
from planner.season.places import Lid, Line
from planner.season.plan.plan_record import Hang
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

PUPA = Pupa(id="m1", species="monarch", pupated=When(date(2027, 7, 3)), place="tub")
PLACES = (Line(name="north", length=60, height=150, clips_every=4), Lid(name="tub", width=40, length=28))
HUNG = Hang(pupa="m1", place="north", spot="4", x=4, y=0, due=date(2027, 7, 14))


def season(pupa=PUPA):
    return Season(folder=Path(), name="Porch", places=PLACES, pupae=(pupa,))


def changed(pupa=PUPA, hang=HUNG):
    made = MadeTags({"m1": content(season(), HUNG)})
    return made.changed({"m1": content(season(pupa), hang)}, groups=False)


@pytest.mark.parametrize(
    ("pupa", "hang"),
    [
        (PUPA, replace(HUNG, spot="8", x=8)),
        (PUPA, replace(HUNG, place="tub", spot="12,5")),
        (replace(PUPA, pupated=When(date(2027, 7, 4))), HUNG),
        (replace(PUPA, pupated=None), HUNG),
        (replace(PUPA, species="viceroy"), HUNG),
    ],
)
def test_another_spot_place_date_or_species_is_another_tag(pupa, hang):
    assert changed(pupa, hang) == ["m1"]


def test_a_day_due_that_moved_is_not_and_neither_is_a_spot_on_a_lid_which_no_tag_tells():
    assert changed(hang=replace(HUNG, due=date(2027, 7, 16))) == []
    on_lid = replace(HUNG, place="tub", spot="12,5", x=12, y=5)
    assert content(season(), on_lid) == content(season(), replace(on_lid, spot="13,5", x=13))


def test_tags_and_cards_of_groups_are_known_apart_and_what_was_made_before_stays_known(tmp_path):
    made = MadeTags().with_made({"m1": ("a",)}, groups=False).with_made({"m2": ("b",)}, groups=False)
    write_made(tmp_path, made.with_made({"m1": ("c",)}, groups=True))
    assert read_made(tmp_path) == MadeTags({"m1": ("a",), "m2": ("b",)}, {"m1": ("c",)})
    assert made.new({"m1": ("a",), "m3": ("d",)}, groups=False) == ["m3"]
    assert made.new({"m1": ("a",)}, groups=True) == ["m1"]


def test_where_nothing_was_made_nothing_is_known(tmp_path):
    assert read_made(tmp_path) is None
