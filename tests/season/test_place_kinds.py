"""What every kind of place says of itself holds together."""

from math import hypot

import pytest

from planner.season import Pupa, Season
from planner.season.places import KINDS, Board, Lid, Line

CM = Season(folder=None, name="", units="cm")
INCHES = Season(folder=None, name="", units="in")
# Of each kind at least one; lengths in cm.
PLACES = [
    Line(name="north", length=100, height=150, clips_every=4),
    Line(name="thirds", length=100, height=150, clips_every=2.54 / 3, left=5, front=7),
    Line(name="south", length=100, height=150, clip_width=3),
    Board(name="cork", width=30, height=20, pins_every=5, bottom=90, pattern="staggered", left=10, front=2),
    Board(name="square", width=30, height=22, pins_every=5, bottom=90),
    Lid(name="tub", width=40, length=28, height=75, left=30, front=60),
    Lid(name="cup", width=9, length=9, circular=True),
]


def test_each_kind_is_tried_here():
    assert {place.kind for place in PLACES} == set(KINDS)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)
@pytest.mark.parametrize("season", [CM, INCHES], ids=lambda season: season.units)
def test_a_mark_is_found_again_by_its_tag_and_lies_on_its_place(place, season):
    wide, high = place.extent
    marks = list(place.marks(season.cm_per_unit))
    assert bool(marks) == (place.offers_spots and not place.slides)
    for tag, x, y in marks:
        assert place.point(tag, season.cm_per_unit) == pytest.approx((x, y))
        assert place.tidy(tag, season.cm_per_unit) == tag
        assert 0 < x < wide
        assert 0 < y < high or (y == 0 and not place.stacked)
    assert len({tag for tag, _, _ in marks}) == len(marks)


@pytest.mark.parametrize("place", [p for p in PLACES if p.more], ids=lambda place: place.name)
def test_a_place_made_longer_by_two_has_two_spots_or_centimetres_more_and_all_it_had(place):
    before, after = set(place.marks(1.0)), place.longer(2)
    assert before <= set(after.marks(1.0))
    assert len(set(after.marks(1.0))) >= len(before) + 2 or after.extent[0] == place.extent[0] + 2


# Corners by hand: the board's left end is 10 from the rack's, its lower edge 90 high, its upper one 110; the
# lid's near edge is 28 further from the wall than its far one, at 60.
@pytest.mark.parametrize(
    ("place", "corners"),
    [
        (PLACES[1], {(5, 7, 150), (105, 7, 150)}),
        (PLACES[3], {(10, 2, 110), (40, 2, 110), (40, 2, 90), (10, 2, 90)}),
        (PLACES[5], {(30, 88, 75), (70, 88, 75), (70, 60, 75), (30, 60, 75)}),
    ],
    ids=["line", "board", "lid"],
)
def test_the_outline_stands_where_the_place_does(place, corners):
    assert {place.stand(*corner) for corner in place.outline} == corners


def test_a_round_lid_has_its_rim_as_outline_and_no_point_beyond_it():
    cup = PLACES[6]
    assert all(hypot(x - 4.5, y - 4.5) == pytest.approx(4.5) for x, y in cup.outline)
    ends = ((4.5, 0), (9, 4.5), (4.5, 9), (0, 4.5))
    assert all(any(end == pytest.approx(at) for at in cup.outline) for end in ends)

    def faults(x, y):
        return list(cup.faults(Pupa(id="m1", species="monarch", pupated=None, place="cup", x=x, y=y), CM))

    # 3.18 = 4.5 / sqrt(2) is how far the rim is from the middle each way, on the slant
    assert faults(4.5 + 3.18, 4.5 - 3.18) == faults(9, 4.5) == faults(None, None) == []
    assert faults(4.5 + 3.19, 4.5 - 3.19) == [("x", "7.69,1.31 is not on lid cup: it is round, 9 cm across")]
    assert faults(10, 4.5) == [("x", "10 cm is not on lid cup: 0 to 9 cm")]


@pytest.mark.parametrize(
    ("place", "words", "spot"),
    [
        (PLACES[0], "line, 100 cm long, 150 cm above the floor", "36 cm"),
        (PLACES[3], "board, 30 × 20 cm, lower edge 90 cm above the floor", "36"),
        (PLACES[5], "lid from above, 40 × 28 cm, x,y from its lower left corner", "36"),
        (PLACES[6], "lid from above, round, 9 cm, x from its left, y from its near end", "36"),
    ],
    ids=["line", "board", "lid", "round lid"],
)
def test_a_place_and_its_spots_are_told_in_words(place, words, spot):
    assert (place.words(CM), place.spot_words("36", "cm")) == (words, spot)


def test_only_of_a_line_on_which_clips_slide_it_is_told_how_wide_they_are():
    assert [place.clips_words(CM) for place in PLACES if place.clips_words(CM)] == ["sliding clips 3 cm wide"]


def test_a_rounded_tag_means_the_mark_and_any_other_number_its_own_point():
    thirds = PLACES[1]  # 1/3 in apart: mark 4 is at 4/3 in, 3.386667 cm, and its tag says 1.333
    assert thirds.point("1.333", 2.54) == (3.386667, 0.0)
    assert thirds.point("1.3", 2.54) == (3.302, 0.0)  # 1.3 in is 0.08 cm from it
