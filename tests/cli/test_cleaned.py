"""``mark … cleaned``: a spot where one was sick is closed until then."""

from __future__ import annotations

import json

import pytest
from cli_world import call

from planner.season.plan import plan_file

DAY = "2027-07-06T08:00"


@pytest.fixture
def sick(world):
    """m2 was hung at north 12 and found parasitised there."""
    done(world, "m2", "north", "12")
    assert mark(world, "m2", "parasitised", on=DAY).code == 0
    return world


def done(world, pupa, place, spot):
    said = call("done", pupa, str(world.folder), "--to", place, spot, "--on", "2027-07-05T20:00")
    assert said.code == 0, said
    return said


def mark(world, *words, on="2027-07-07T08:00"):
    options = [w for w in words if w.startswith("--")]
    names = [w for w in words if w not in options]
    return call("mark", *names, str(world.folder), *options, "--on", on)


def test_a_sick_ones_spot_is_told_as_closed_and_not_as_free(world):
    done(world, "m2", "north", "12")
    said = mark(world, "m2", "parasitised", on=DAY)
    assert said.code == 0
    assert "free" not in said.out
    assert "closed until cleaned: north 12 cm (m2); then 'hangplan mark m2 cleaned " in said.out


def test_a_plan_tells_whom_to_look_at_until_it_is_cleaned(sick):
    # 4 cm from north 12, where wings reach 10 cm
    assert call("done", "m3", str(sick.folder), "--to", "north", "16", "--on", DAY, "--anyway").code == 0
    told = "Look at m3 daily: beside m2 they may have caught it.\n"
    assert told in sick.call("plan", on="2027-07-07T08:00").out
    assert mark(sick, "m2", "cleaned").code == 0
    assert told not in sick.call("plan", on="2027-07-07T08:30").out


def test_a_plan_does_not_use_it_and_does_once_it_is_cleaned(sick):
    lone = "  - {line: north, length: 14, height: 150, clips_every: 12}\n"  # one mark, at 12
    text = sick.read("season.yaml").replace(
        "  - {line: north, length: 60, height: 150, clips_every: 4}\n", lone
    )
    sick.write("season.yaml", text)
    said = sick.call("plan", "--json", on="2027-07-07T08:00")
    assert not [h for h in _hangs(sick) if h.startswith("north")]
    assert said.code == 3
    assert mark(sick, "north", "12", "cleaned").code == 0
    assert sick.call("plan", on="2027-07-07T09:00").code == 0
    assert [h for h in _hangs(sick) if h.startswith("north")] == ["north 12"]


def _hangs(world):
    return [f"{h.place} {h.spot}" for h in plan_file.read(world.folder).hangs]


@pytest.mark.parametrize("words", [("m2",), ("north", "12"), ("north:12",), ("NORTH", "12.0"), ("north",)])
def test_it_is_opened_by_pupa_spot_or_place_and_closed_again_by_undo(sick, words):
    before = sick.read("pupae.csv")
    said = mark(sick, *words, "cleaned")
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith("recorded: cleaned on 7 Jul 08:00: north 12 cm (m2)\nopen again; ")
    assert sick.read("pupae.csv").splitlines()[0].endswith(",spot_cleaned")
    assert "closed" not in sick.call("check", on="2027-07-07T09:00").err
    sick.call("undo", on=None)
    assert sick.read("pupae.csv") == before


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("m1",), "m1: no spot that is closed until it is cleaned; closed: north 12 cm (m2)\n"),
        (("north", "16"), "north 16: no spot that is closed until it is cleaned; closed: north 12 cm (m2)\n"),
        (("tub-3",), "tub-3: no spot that is closed until it is cleaned; closed: north 12 cm (m2)\n"),
    ],
)
def test_what_is_not_closed_cannot_be_opened(sick, words, message):
    said = mark(sick, *words, "cleaned")
    assert (said.code, said.err) == (1, message)


def test_it_cannot_be_clean_before_it_was_found_sick(sick):
    said = mark(sick, "m2", "cleaned", on="2027-07-05")
    assert (said.code, said.err) == (1, "m2: 5 Jul is before it was found sick, 6 Jul 08:00\n")


def test_check_and_today_say_what_is_closed(sick):
    for command in ("check", "today"):
        said = sick.call(command, on="2027-07-07T08:00")
        told = " ".join((said.out + said.err).split())
        assert "closed until cleaned: north 12 cm (m2); 'hangplan mark m2 cleaned" in told


def test_outlook_counts_one_spot_less(sick):
    # A line of 60 cm has marks 4 to 56: 14.
    said = json.loads(sick.call("outlook", "--json", on="2027-07-07").out)
    assert said["spots"] == 13
    assert any(text.startswith("closed until cleaned: north 12 cm (m2); ") for text in said["notes"])
    mark(sick, "m2", "cleaned")
    assert json.loads(sick.call("outlook", "--json", on="2027-07-07").out)["spots"] == 14


def test_who_is_hung_there_all_the_same_is_recorded_and_told(sick):
    said = done(sick, "m3", "north", "12")
    assert " ".join(said.err.split()) == (
        "m3: recorded, but that is closed until cleaned: m2 was sick there. Hang it elsewhere, or clean it "
        "and say so"
    )
    assert "m3,2027-07-03,north" in sick.read("pupae.csv")


def test_who_hangs_within_reach_of_a_sick_one_is_named(world):
    done(world, "m2", "north", "12")
    done(world, "m3", "north", "16")
    assert "hung within its reach, or under it: m3." in " ".join(
        mark(world, "m2", "parasitised", on=DAY).out.split()
    )


def test_a_lid_of_a_sick_one_is_closed_as_a_whole(world):
    assert "closed until cleaned: lid tub-2 (m1)" in mark(world, "m1", "parasitised", on=DAY).out
    said = done(world, "m3", "tub-2", "30,20")
    assert "m3: recorded, but that is closed until cleaned: m1 was sick there." in said.err
    assert world.call("add", "tub-2", on="2027-07-07T08:00").err.startswith(
        "lid tub-2 is closed until it is cleaned: m1 was sick there\n"
    )
    assert mark(world, "tub-2", "cleaned").code == 0


def test_json_names_what_is_closed_and_what_was_cleaned(world):
    done(world, "m2", "north", "12")
    said = mark(world, "m2", "parasitised", "--json")
    assert said.data["closed"] == [{"place": "north", "spot": "12"}]
    assert said.data["free"] == []
    assert mark(world, "m2", "cleaned", "--json").data["cleaned"][0]["spot"] == "12"
