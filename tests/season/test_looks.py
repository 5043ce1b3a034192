"""Looks of a season, and dates that were found between two looks, in season.yaml and pupae.csv."""

from datetime import datetime

import pytest

from planner.emergence import known_species
from planner.season import load
from planner.season.reading.looks import Looks
from planner.season.reading.problems import FaultyFiles
from planner.season.reading.when import When

LID = "places:\n  - {lid: t, width: 40, length: 28}\n"
HEAD = "id,pupated,pupated_after,place,outcome,ended,ended_after\n"
HOW = "write daily at 8, daily at 8 and 20, or every 3 days at 18:30"


def at(text):
    return datetime.fromisoformat(text)


def read(folder, row="", settings=""):
    (folder / "season.yaml").write_text(settings + LID, encoding="utf-8")
    (folder / "pupae.csv").write_text(HEAD + row + "\n", encoding="utf-8")
    return load(folder, known_species())


@pytest.mark.parametrize(
    ("looks", "noted", "first", "last"),
    [
        ("daily at 8", "2027-07-15", "2027-07-14T08:00", "2027-07-15T08:00"),
        ("Daily  at 8:30 pm", "2027-07-15", "2027-07-14T20:30", "2027-07-15T20:30"),
        # A day stands for its last look, since the last one of the day before.
        ("daily at 8 and 20", "2027-07-15", "2027-07-14T20:00", "2027-07-15T20:00"),
        ("daily at 20, 8", "2027-07-15T07:50", "2027-07-14T20:00", "2027-07-15T07:50"),
        ("daily at 8 and 20", "2027-07-15T20:10", "2027-07-15T08:00", "2027-07-15T20:10"),
        ("every 3 days at 8", "2027-07-15", "2027-07-12T08:00", "2027-07-15T08:00"),
        ("every 3 days at 8", "2027-07-15T08:20", "2027-07-12T08:00", "2027-07-15T08:20"),
    ],
)
def test_what_was_noted_happened_between_that_look_and_the_one_before(looks, noted, first, last):
    assert Looks.parse(looks).read(When.parse(noted)).span == (at(first), at(last))


def test_an_hour_that_is_no_looks_was_seen():
    assert Looks.parse("daily at 8").read(When.parse("2027-07-15T14:20")) == When.parse("2027-07-15T14:20")


@pytest.mark.parametrize(
    ("now", "looks", "seen"),
    [
        ("2027-07-15T12:00", "daily at 8", "2027-07-15T08:00"),
        ("2027-07-15T07:00", "daily at 8", "2027-07-14T08:00"),
        ("2027-07-15T12:00", "daily at 8 and 20", "2027-07-15T08:00"),
        # The last look may have been two days before.
        ("2027-07-15T12:00", "every 3 days at 8", "2027-07-13T08:00"),
    ],
)
def test_who_is_noted_as_hanging_hung_at_the_last_look(now, looks, seen):
    assert Looks.parse(looks).last_before(at(now)) == at(seen)


@pytest.mark.parametrize(
    ("looks", "told"),
    [
        ("sometimes", f"'sometimes' does not say when you look: {HOW}"),
        ("every day", f"'every day' does not say when you look: {HOW}"),
        ("every 0 days at 8", "'every 0 days at 8': looks are 1 to 14 days apart"),
        ("every 15 days at 8", "'every 15 days at 8': looks are 1 to 14 days apart"),
        ("daily at 25", f"'25' is not an hour of the day: {HOW}"),
        ("daily at noon", f"'noon' is not an hour of the day: {HOW}"),
        ("daily at 8 and 8:00", "'daily at 8 and 8:00': an hour is named twice"),
    ],
)
def test_looks_that_cannot_be_read_are_told_with_their_line(tmp_path, looks, told):
    with pytest.raises(FaultyFiles) as faulty:
        read(tmp_path, settings=f"looks: {looks}\n")
    assert [str(p) for p in faulty.value.problems] == [f"season.yaml:1:8: looks: {told}"]


def test_the_looks_of_a_row_come_before_those_of_the_season(tmp_path):
    row = "m1,2027-07-05,,t,emerged,2027-07-15T07:00,2027-07-14T20:00"
    (one,) = read(tmp_path, row, "looks: every 3 days at 8\n").pupae
    assert one.pupated.span == (at("2027-07-02T08:00"), at("2027-07-05T08:00"))
    assert one.ended.span == (at("2027-07-14T20:00"), at("2027-07-15T07:00"))


def test_whenever_the_looks_were_it_is_soft_from_the_end_of_the_day_that_was_noted(tmp_path):
    # Who looks at 8 may have seen it in the evening and written the day alone.
    (one,) = read(tmp_path, "m1,2027-07-05,,t,,,", "looks: daily at 8\n").pupae
    assert one.pupated.latest == at("2027-07-06T00:00")


def test_two_looks_by_the_day_hold_both_days(tmp_path):
    (one,) = read(tmp_path, "m1,2027-07-05,2027-07-03,t,,,").pupae
    assert one.pupated.span == (at("2027-07-03T00:00"), at("2027-07-06T00:00"))
    assert one.pupated.middle == at("2027-07-04T12:00")


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (
            "m1,2027-07-05,,t,emerged,2027-07-14,2027-07-15",
            "2:37: m1: ended_after: 2027-07-15 is not before 2027-07-14: the earlier look comes first",
        ),
        (
            "m1,2027-07-05,,t,emerged,2027-07-15T07:00,2027-07-15T07:00",
            "2:43: m1: ended_after: 2027-07-15T07:00 is not before 2027-07-15T07:00: the earlier look comes "
            "first",
        ),
        (
            "m1,2027-07-05,,t,emerged,2027-07-15,2027-05-15",
            "2:37: m1: ended_after: 2027-05-15 and 2027-07-15 are more than 31 days apart: write the date "
            "alone",
        ),
        (
            "m1,2027-07-05,,t,emerged,2027-07-15,2027-07-04",
            "2:37: m1: ended_after: 2027-07-04 is before it pupated, 2027-07-05",
        ),
        (
            "m1,2027-07-05,,t,emerged,2027-07-15,2027-02-30",
            "2:37: m1: ended_after: '2027-02-30': there is no such day",
        ),
        (
            "m1,,2027-07-04,t,,,",
            "2:5: m1: pupated_after: 2027-07-04, but pupated is missing: write when it was found",
        ),
    ],
)
def test_looks_that_cannot_be_are_told_with_line_and_column(tmp_path, row, told):
    with pytest.raises(FaultyFiles) as faulty:
        read(tmp_path, row)
    assert [str(p) for p in faulty.value.problems] == [f"pupae.csv:{told}"]
