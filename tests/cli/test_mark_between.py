"""What was found at one look and not yet at the one before: ``mark --between``."""

from datetime import datetime

import pytest
from cli_world import call

from planner.emergence import known_species
from planner.season import load


@pytest.fixture
def inside(world, monkeypatch):
    world.folder = world.folder.resolve()
    monkeypatch.chdir(world.folder)
    return world


def test_an_emergence_between_two_looks_is_recorded_with_both(inside):
    said = call("mark", "m3", "emerged", "--between", "2027-07-14T20:00", "2027-07-15T07:00",
                "--on", "2027-07-15T08:00")  # fmt: skip
    assert (said.code, said.err) == (0, "")
    # Its wings were wet from 7:00 on at the latest, for 3 h.
    assert said.out.splitlines()[:2] == [
        "recorded: emerged between 14 Jul 20:00 and 15 Jul 07:00: m3",
        "leave hanging until 15 Jul 10:00, when the wings are dry",
    ]
    assert inside.row("m3")["ended"] == "2027-07-15T07:00"
    assert inside.row("m3")["ended_after"] == "2027-07-14T20:00"
    ended = load(inside.folder, known_species()).pupa["m3"].ended
    assert ended.span == (datetime(2027, 7, 14, 20), datetime(2027, 7, 15, 7))


def test_programs_are_told_the_first_look_only_where_there_was_one(inside):
    said = call("mark", "m3", "emerged", "--between", "14 Jul 8 pm", "15 Jul", "--on", "2027-07-16", "--json")
    assert said.data["marked"] == [
        {"id": "m3", "what": "emerged", "on": "2027-07-15", "place": "tub-3", "spot": None,
         "after": "2027-07-14T20:00"},
    ]  # fmt: skip
    said = call("mark", "m2", "emerged", "--on", "2027-07-12", "--json")
    assert said.data["marked"][0].keys() == {"id", "what", "on", "place", "spot"}


def test_a_pupation_between_two_looks_is_soft_from_the_later_one(inside):
    said = call("mark", "m3", "pupated", "--between", "2027-07-04T20:00", "2027-07-05T07:00",
                "--on", "2027-07-05T08:00")  # fmt: skip
    assert said.out.splitlines()[:3] == [
        "recorded: pupated between 4 Jul 20:00 and 5 Jul 07:00: m3",
        "m3 was recorded as pupated on 3 Jul: 'hangplan undo' takes it back",
        "soft until Tue 6 Jul 07:00: not to be touched before",
    ]
    # A date that is recorded after that has no look before it.
    assert call("mark", "m3", "pupated", "--on", "2027-07-05T06:00").code == 0
    assert inside.row("m3")["pupated_after"] == ""


def test_undo_takes_the_looks_back_with_their_columns(inside):
    before = inside.read("pupae.csv")
    assert (
        call("mark", "m3", "emerged", "--between", "2027-07-14", "2027-07-15", "--on", "2027-07-16").code == 0
    )
    assert call("undo").code == 0
    assert inside.read("pupae.csv") == before


def test_what_was_found_today_can_be_told_before_the_day_is_over(inside):
    assert (
        call("mark", "m3", "emerged", "--between", "14 Jul", "15 Jul", "--on", "2027-07-15T22:00").code == 0
    )
    assert "2027-07-15" in inside.read("pupae.csv")


@pytest.mark.parametrize(
    ("first", "second", "code", "told"),
    [
        ("15 Jul 7:00", "14 Jul 20:00", 2,
         "--between: 15 Jul 07:00 is not before 14 Jul 20:00: the earlier look comes first"),
        ("15 Jul 7:00", "15 Jul 7:00", 2,
         "--between: 15 Jul 07:00 is not before 15 Jul 07:00: the earlier look comes first"),
        ("2027-02-30", "2027-07-15", 2, "--between: '2027-02-30': there is no such day"),
        ("2027-05-01", "2027-07-15", 2,
         "--between: 1 May and 15 Jul are more than 31 days apart: write the date alone"),
        ("2 Jul", "14 Jul", 1, "m3: 2 Jul is before it pupated, 3 Jul: name a look after that"),
        ("15 Jul", "18 Jul", 1, "--between: 18 Jul is still to come: now is Fri 16 Jul 08:00"),
    ],
)  # fmt: skip
def test_looks_that_cannot_be_are_refused_and_nothing_is_written(inside, first, second, code, told):
    before = inside.files()
    said = call("mark", "m3", "emerged", "--between", first, second, "--on", "2027-07-16T08:00")
    assert (said.code, said.err.splitlines()[0]) == (code, told)
    assert inside.files() == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("m3", "emerged", "14 Jul"),
            "--between: '14 Jul' is a date besides: give the two looks, or one date",
        ),
        (("m3", "darkening"), "--between: darkening has one date: give that instead"),
        (("north", "cleaned"), "--between: cleaned has one date: give that instead"),
    ],
)
def test_two_looks_are_of_what_is_found_and_no_date_stands_beside_them(inside, words, told):
    said = call("mark", *words, "--between", "2027-07-14", "2027-07-15", "--on", "2027-07-16")
    assert (said.code, said.err.splitlines()[0]) == (2, told)
