"""Dates, ranges, steps and places as people type them, in every command; what was recorded is told."""

import pytest
from cli_world import SETTINGS, call


@pytest.fixture
def inside(world, monkeypatch):
    world.folder = world.folder.resolve()
    monkeypatch.chdir(world.folder)
    return world


def rows(world):
    head, *lines = world.files()["pupae.csv"].decode().splitlines()
    return [dict(zip(head.split(","), line.split(","), strict=False)) for line in lines]


@pytest.mark.parametrize(
    ("words", "pupated", "count"),
    [
        ("3 tub-2 5 Jul", "2027-07-05", 3),
        ("tub-2 3 7/5/2027", "2027-07-05", 3),
        ("tub-2 yesterday 21:30", "2027-07-05T21:30", 1),
        ("2 Mon tub-2", "2027-07-05", 2),
        ("tub-2 3 days ago", "2027-07-03", 1),
        ("tub-2 25/6 2", "2027-06-25", 2),
        ("2 tub-2 9pm --on 2027-07-06T22:00", "2027-07-06T21:00", 2),
    ],
)
def test_add_takes_dates_as_they_are_typed(inside, words, pupated, count):
    inside.write("season.yaml", SETTINGS + "date_style: us\n")
    words = words.split()
    said = call("add", *words, *([] if "--on" in words else ["--on", "2027-07-06T12:00"]))
    assert (said.code, said.err) == (0, "")
    assert [row["pupated"] for row in rows(inside)[3:]] == [pupated] * count


@pytest.mark.parametrize(
    ("style", "pupated", "drawn"), [("us", "2027-07-05", "2027-07-04"), ("eu", "2027-05-07", "2027-04-07")]
)
def test_the_seasons_date_style_says_which_is_the_month(inside, style, pupated, drawn):
    inside.write("season.yaml", SETTINGS + f"date_style: {style}\n")
    assert call("add", "tub-2", "7/5", "--on", "2027-07-06").code == 0
    assert rows(inside)[3]["pupated"] == pupated
    sketch = inside.folder.parent / "lid.txt"
    sketch.write_text("lid: tub-3\na: 7/4\na..b\nb: 5 Jul\n")
    assert call("add", "--sketch", str(sketch), "--on", "2027-07-06").code == 0
    assert [row["pupated"] for row in rows(inside)[4:]] == [drawn, "2027-07-05"]


def test_mark_takes_a_range_and_a_date(inside):
    said = call("mark", "m1", "to", "m2", "failed", "11", "Jul", "2027", "9:00")
    assert (said.code, said.err.count("m3")) == (0, 0)
    failed = ("failed", "2027-07-11T09:00")
    assert [(row["outcome"], row["ended"]) for row in rows(inside)] == [failed, failed, ("", "")]


def test_done_takes_steps_and_the_place_where_moves_begin(inside):
    inside.plan()
    assert call("done", "step", "1", "--on", "2027-07-06").code == 0
    assert [row["place"] for row in rows(inside)] == ["tub-2", "north", "tub-3"]
    assert call("done", "tub-3", "6 Jul 2027").code == 0
    assert [(row["place"], row.get("hung")) for row in rows(inside)][1:] == [
        ("north", "2027-07-06"), ("north", "2027-07-06"),
    ]  # fmt: skip
    said = call("done", "step", "7", "--on", "2027-07-06")
    assert (said.code, said.err) == (1, "the plan has no step 7: its steps are 1 to 2\n")


def test_tags_are_printed_for_a_place_or_a_range(inside):
    inside.plan()
    on = ["--on", "2027-07-05T09:00", "--json"]
    assert call("tags", "--pupa", "north", *on).data["tags"] == ["m2", "m3"]
    assert call("tags", "--pupa", "m1-m2", *on).data["tags"] == ["m2", "m1"]
    assert call("tags", "--pupa", "m1-m9", *on[:2]).err == "there is no pupa 'm9': recorded are m1 to m3\n"
