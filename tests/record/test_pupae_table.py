"""What a row keeps of its note, and which lids are empty then."""

from verify_world import pupa, season

from planner.record.pupae_table import emptied_lids, with_note
from planner.season.places import Lid, Line

PLACES = (
    Line(name="north", length=60, height=150, clips_every=4),
    Lid(name="tub-2", width=40, length=28),
    Lid(name="tub-3", width=40, length=28),
)
HERE = season(
    PLACES,
    (
        pupa("m1", "2027-07-01", "tub-2"),
        pupa("m2", "2027-07-01", "tub-3"),
        pupa("m3", "2027-07-01", "north", "4"),
    ),
)


def test_a_lid_is_empty_when_the_last_one_has_left_it():
    assert emptied_lids(HERE, ["m1"]) == ["tub-2"]


def test_a_lid_is_not_empty_where_another_goes_to_it_meanwhile():
    assert emptied_lids(HERE, ["m1", "m2"], ["north", "tub-2"]) == ["tub-3"]


def test_a_line_is_never_called_an_empty_lid():
    assert emptied_lids(HERE, ["m3"]) == []


def test_a_note_is_added_behind_the_one_there_is():
    assert with_note(pupa("m1", None, "tub-2", note="small"), "dark") == {"note": "small; dark"}
    assert with_note(pupa("m1", None, "tub-2"), "dark") == {"note": "dark"}
    assert with_note(pupa("m1", None, "tub-2", note="small"), "") == {}
