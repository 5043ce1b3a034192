"""Spots kept for those to come, on the map and in its words; and the ruler where clips slide."""

from dataclasses import replace
from datetime import date, datetime

from draw_world import by_gid, case, drawn, hang, line, marks, pin, texts

from planner.season.places import Board, Lid, Line
from planner.season.plan.plan_record import Kept

CORK = Board(name="cork", width=30, height=20, pins_every=10, pattern="square", bottom=90)
TUB = Lid(name="tub", width=40, length=28)


def kept(place, spot, who="expected 2027-07-14 monarch", day=16):
    return Kept(who=who, place=place, spot=spot, since=datetime(2027, 7, day, 12), due=date(2027, 7, 25))


def drawn_with(places, hangs, *spots):
    season, plan, at = case(places, hangs)
    return drawn((season, replace(plan, kept=spots), at))


def test_a_kept_spot_has_a_dashed_ring_and_its_day_instead_of_a_free_one():
    # clips at 10, 20, 30: one taken, one kept, one free
    drawing = drawn_with([line()], [hang("a", "north", "10")], kept("north", "30"))
    assert len(by_gid(drawing, "kept")) == 2  # and one in the legend
    assert texts(drawing, "kept-day") == ["16 Jul"]
    assert sorted(len(a.get_xdata()) for a in by_gid(drawing, "free")) == [1, 1]  # legend, line
    assert "kept from that day on for one to come" in texts(drawing)
    assert any(t.endswith("1 of 3 spots taken, 1 kept for those to come") for t in texts(drawing))


def test_without_kept_spots_nothing_is_said_of_them():
    drawing = drawn(case([line()], [hang("a", "north", "10")]))
    assert not by_gid(drawing, "kept")
    assert not any("kept" in t for t in texts(drawing))


def test_a_pin_is_kept_too():
    drawing = drawn_with([CORK], [pin("a", "cork", marks(CORK)[0])], kept("cork", "r2p3"))
    assert texts(drawing, "kept-day") == ["16 Jul"]


def test_where_a_tag_hangs_no_day_is_written():
    # the spot at 20 is kept once a has left it
    drawing = drawn_with([line()], [hang("a", "north", "20")], kept("north", "20"))
    assert texts(drawing, "kept-day") == []
    assert "from 16 Jul: north 20 (taken until then) cm" in texts(drawing)


def test_kept_spots_are_told_day_by_day_and_place_by_place():
    drawing = drawn_with(
        [line(), CORK, TUB],
        [hang("a", "north", "10"), hang("soft", "tub", "?")],
        kept("north", "30", day=18), kept("north", "20"), kept("cork", "r1p1"), kept("cork", "r1p3", "soft"),
    )  # fmt: skip
    words = texts(drawing)
    start = words.index("Kept for those to come (4)")
    assert words[start + 1 : start + 3] == [
        "from 16 Jul: north 20 cm; cork r1p1, r1p3 (soft)",
        "from 18 Jul: north 30 cm",
    ]


def test_where_clips_slide_a_kept_spot_may_be_at_any_centimetre():
    south = Line(name="south", length=40, height=150, clip_width=3)
    drawing = drawn_with([south], [hang("a", "south", "7.5")], kept("south", "23.4"))
    assert texts(drawing, "kept-day") == ["16 Jul"]
    assert "23.4" in texts(drawing, "number")


def test_where_clips_slide_there_are_no_free_spots_but_a_ruler_in_the_keeper_s_unit():
    # 20 in at 2.54 cm: ticks at each half inch or inch, none of them a free spot
    south = Line(name="south", length=20 * 2.54, height=150, clip_width=3)
    drawing = drawn(case([south], [hang("a", "south", "7.5")], units="in"))
    assert not by_gid(drawing, "free")
    assert "free spot" not in texts(drawing)
    assert len(by_gid(drawing, "tick")) >= 21
    numbers = [t for t in texts(drawing, "number") if t != "7.5"]
    assert numbers[0] == "0"
    assert numbers[-1] == "20"


def test_a_clip_s_width_is_told_as_it_was_stated():
    south = Line(name="south", length=50, height=150, clip_width=1.25 * 2.54)
    drawing = drawn(case([south], [hang("a", "south", "7.5")], units="in"))
    assert any("sliding clips 1.25 in wide" in t for t in texts(drawing))


def test_of_many_kept_spots_the_first_forty_are_told_and_the_others_counted():
    spots = [kept("north", str(10 * i)) for i in range(2, 52)]
    drawing = drawn_with([line(length=600)], [hang("a", "north", "10")], *spots)
    words = texts(drawing)
    assert "Kept for those to come (50)" in words
    assert "and 10 more, under kept in plan.yaml" in words
