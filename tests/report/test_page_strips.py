"""Places as strips: to scale, every tag beside its spot, none on another."""

import math
from dataclasses import replace
from datetime import datetime
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from room_world import NOW, pupa, season
from tries import tries

from planner.follow.day import Day
from planner.report.page.data import PageData
from planner.report.page.room import overview
from planner.report.page.strips import STRIPS, rack
from planner.report.page.tags import TAG_HEIGHT, short_id
from planner.season import Board, Lid, Line, Move, Plan
from planner.season.places import KINDS
from planner.season.places.dividers import Divider


def laid(*pupae, places, moves=(), **more):
    found = replace(season(*pupae, **more), places=places)
    plan = Plan(on=NOW, gap_days=2, hangs=(), moves=moves) if moves else None
    return rack(PageData(Day(found, NOW, plan)))


def boxes(strip, width):
    return [
        (t.x + t.tx - width / 2, t.y + t.ty, t.x + t.tx + width / 2, t.y + t.ty + TAG_HEIGHT)
        for t in strip.tags
    ]


def overlaps(strip, width):
    return [
        (a, b)
        for a, b in combinations(boxes(strip, width), 2)
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]


def outside(strip, width):
    return [
        b for b in boxes(strip, width) if b[0] < 0 or b[1] < 0 or b[2] > strip.width or b[3] > strip.height
    ]


NORTH = Line(name="north", length=60, height=150, clips_every=4)


def test_distances_on_a_line_are_to_scale():
    pupae = (pupa(f"m{x}", "2027-07-01", spot=str(x)) for x in (4, 12, 40))
    a, b, c = (t.x for t in laid(*pupae, places=(NORTH,)).strips[0].tags)
    assert (c - b) / (b - a) == pytest.approx(28 / 8)


def test_neighbours_on_a_line_hang_at_two_levels():
    row = range(4, 60, 4)
    strip = laid(*(pupa(f"m{x}", "2027-07-01", spot=str(x)) for x in row), places=(NORTH,)).strips[0]
    # Tags 46 wide, 4 apart: 25 px for 4 cm, so each second one is on the same level.
    assert [round(t.x - strip.tags[0].x, 3) for t in strip.tags] == [25 * i for i in range(14)]
    assert [t.ty for t in strip.tags] == [12, 12 + TAG_HEIGHT + 4] * 7


def test_all_lines_have_one_scale_so_that_equal_ones_stand_in_line():
    south = replace(NORTH, name="south")
    close = [pupa(f"m{x}", "2027-07-01", spot=str(x)) for x in (4, 8)]
    found = laid(*close, places=(NORTH, south))
    assert found.strips[0].width == found.strips[1].width


def test_free_spots_taken_ones_and_those_not_to_be_used():
    low = replace(NORTH, name="low", height=5)  # less than the clearance of 11
    one = laid(pupa("m1", "2027-07-01", spot="8"), places=(NORTH, low))
    assert (len(one.strips[0].free.marks), len(one.strips[0].free.bad)) == (
        13,
        0,
    )  # 4 to 56 are 14, one is taken
    assert (len(one.strips[1].free.marks), len(one.strips[1].free.bad)) == (0, 14)


def test_a_moved_pupa_has_a_tag_where_it_is_and_one_where_it_will_hang():
    tub = Lid(name="tub-2", width=40, length=28)
    move = Move(step=1, pupa="m1", from_place="tub-2", from_spot="5,5", to_place="north", to_spot="8",
                not_before=NOW, not_after=datetime(2027, 7, 10))  # fmt: skip
    found = laid(pupa("m1", "2027-07-01", "tub-2", x=5.0, y=5.0), places=(NORTH, tub), moves=(move,))
    assert [[t.after for t in s.tags] for s in found.strips] == [[1], [0]]
    assert len(found.strips[0].free.marks) == 13  # kept for it


def test_a_board_shows_each_pin_and_its_rows():
    cork = Board(name="cork", width=20, height=15, pins_every=5, bottom=60)
    strip = laid(pupa("m1", "2027-07-01", "cork", spot="r2p3"), places=(cork,)).strips[0]
    left, top, right, low = strip.frame
    (tag,) = strip.tags
    # Pin 3 of row 2 is 2.5 spacings from the left and 1.5 from the top.
    assert (tag.x - left) / (right - left) == pytest.approx(12.5 / 20)
    assert (tag.y - top) / (low - top) == pytest.approx(7.5 / 15)
    assert len(strip.free.marks) == 11  # of 4 × 3
    assert [text for _, _, text in strip.numbers] == ["r1", "r2", "r3", "p3"]


def test_on_a_board_no_tag_covers_a_pin_that_is_free():
    cork = Board(name="cork", width=60, height=40, pins_every=5, bottom=60, pattern="staggered")
    pupae = [pupa(f"m{p}", "2027-07-01", "cork", spot=f"r2p{p}") for p in range(1, 8)]
    found = laid(*pupae, places=(cork,))
    covered = [
        (box, pin)
        for box in boxes(found.strips[0], found.tag_width)
        for pin in found.strips[0].free.marks
        if box[0] - 4 < pin[0] < box[2] + 4 and box[1] - 4 < pin[1] < box[3] + 4
    ]
    assert covered == []


def test_a_lid_is_drawn_from_its_lower_left_corner():
    tub = Lid(name="tub", width=40, length=20)
    strip = laid(pupa("m1", "2027-07-01", "tub", x=10.0, y=5.0), places=(tub,)).strips[0]
    left, top, right, low = strip.frame
    assert (strip.tags[0].x - left) / (right - left) == pytest.approx(0.25)
    assert (low - strip.tags[0].y) / (low - top) == pytest.approx(0.25)


def test_those_never_measured_stand_in_a_row_below_their_lid():
    tub = Lid(name="tub", width=40, length=20)
    strip = laid(*(pupa(f"m{i}", "2027-07-01", "tub") for i in range(20)), places=(tub,)).strips[0]
    assert strip.unmeasured
    assert min(t.y for t in strip.tags) > strip.frame[3]
    assert (overlaps(strip, 46), outside(strip, 46)) == ([], [])


def test_a_lid_nobody_is_on_is_only_named():
    found = laid(places=(NORTH, Lid(name="tub", width=40, length=20)))
    assert ([s.place.name for s in found.strips], found.empty) == (["north"], ("tub",))


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("m1", "m1"),
        ("chrysalis", "chrysalis"),
        ("chrysalis-number-12", "chrys…r-12"),
        ("蛹蛹蛹蛹蛹蛹蛹蛹", "蛹蛹…蛹蛹"),
    ],
)
def test_long_ids_lose_their_middle(name, shown):
    assert short_id(name, 96) == shown


coordinates = st.tuples(st.integers(0, 80), st.integers(0, 56))


@tries(40)
@given(st.lists(coordinates, min_size=1, max_size=40, unique=True))
def test_on_a_lid_no_tag_covers_another_or_a_spot(points):
    tub = Lid(name="tub", width=40, length=28)
    pupae = [pupa(f"m{i}", "2027-07-01", "tub", x=x / 2, y=y / 2) for i, (x, y) in enumerate(points)]
    found = laid(*pupae, places=(tub,))
    strip = found.strips[0]
    assert (overlaps(strip, found.tag_width), outside(strip, found.tag_width)) == ([], [])
    covered = [
        (box, t)
        for box in boxes(strip, found.tag_width)
        for t in strip.tags
        if box[0] < t.x < box[2] and box[1] < t.y < box[3]
    ]
    assert covered == []
    assert crossed(strip, found.tag_width) == []


def crossed(strip, width):
    """Tags that the thread of another goes through, in steps of 2 px."""
    found = []
    for t in strip.tags:
        steps = max(1, int(math.hypot(t.tx, t.ty) / 2))
        points = [(t.x + t.tx * k / steps, t.y + t.ty * k / steps) for k in range(steps + 1)]
        for other, box in zip(strip.tags, boxes(strip, width), strict=True):
            if other is not t and any(box[0] < x < box[2] and box[1] < y < box[3] for x, y in points):
                found.append((t.one.prospect.pupa.id, other.one.prospect.pupa.id))
    return found


@tries(40)
@given(st.lists(st.integers(1, 599), min_size=1, max_size=60, unique=True))
def test_on_a_line_no_tag_covers_another(places):
    rod = Line(name="rod", length=60, height=150, clip_width=0.5)
    pupae = [pupa(f"m{i}", "2027-07-01", "rod", spot=f"{x / 10:g}") for i, x in enumerate(places)]
    found = laid(*pupae, places=(rod,))
    assert (overlaps(found.strips[0], found.tag_width), outside(found.strips[0], found.tag_width)) == ([], [])


@tries(40)
@given(
    st.sets(st.tuples(st.integers(1, 6), st.integers(1, 8)), min_size=1),
    st.sampled_from(["square", "staggered"]),
)
def test_on_a_board_no_tag_covers_another(pins, pattern):
    cork = Board(name="cork", width=24, height=15, pins_every=2.5, bottom=60, pattern=pattern)
    pupae = [pupa(f"m{r}x{p}", "2027-07-01", "cork", spot=f"r{r}p{p}") for r, p in pins]
    found = laid(*pupae, places=(cork,))
    assert (overlaps(found.strips[0], found.tag_width), outside(found.strips[0], found.tag_width)) == ([], [])


# The whole rack


def test_the_whole_rack_is_to_scale_in_both_directions():
    high = replace(NORTH, name="high", height=180, left=0, front=10)
    low = replace(NORTH, name="low", height=120, left=0, front=10)
    found = laid(
        pupa("m1", "2027-07-01", "low", spot="20"),
        pupa("m2", "2027-07-01", "high", spot="50"),
        places=(high, low),
    )
    seen = overview(found).seen
    (x1, y1), (x2, y2) = seen[0, 0], seen[1, 0]
    assert (x2 - x1, y1 - y2) == pytest.approx((30, 60))


def test_what_is_nearer_to_the_viewer_is_drawn_lower_and_to_the_left():
    back = replace(NORTH, name="back", left=0, front=0)
    near = replace(NORTH, name="near", left=0, front=40)
    found = laid(places=(back, near))
    (x1, y1), (x2, y2) = (o.corners[0] for o in overview(found).outlines)
    assert x2 < x1
    assert y2 > y1
    assert math.isclose(x1 - x2, y2 - y1)


def test_lines_of_frames_one_behind_the_other_do_not_fall_on_each_other():
    # As in the butterfly house: heights 25 cm apart, four frames 25 cm apart.
    lines = tuple(
        replace(NORTH, name=f"{f}{h}", height=h, left=0, front=f)
        for f in (10, 35, 60, 85)
        for h in (95, 120, 145, 170)
    )
    heights = sorted(o.corners[0][1] for o in overview(laid(places=lines)).outlines)
    assert min(b - a for a, b in pairwise(heights)) > 3


def test_places_that_stand_nobody_knows_where_are_set_one_below_the_other():
    found = overview(laid(places=(NORTH, replace(NORTH, name="south"))))
    (_, y1), (_, y2) = (o.corners[0] for o in found.outlines)
    assert y2 - y1 == pytest.approx(14)


def divided(*pairs, places=(NORTH,), pupae=(("m1", "8"), ("m2", "12"))):
    hung = (pupa(name, "2027-07-01", places[0].name, spot=spot) for name, spot in pupae)
    cards = tuple(Divider(*ends) for ends in pairs)
    found = replace(season(*hung), places=places, dividers=cards)
    return rack(PageData(Day(found, NOW)))


def test_a_card_stands_in_the_middle_between_two_spots_of_a_line_and_is_told_in_words():
    strip = divided((("north", "8"), ("north", "12"))).strips[0]
    a, b = (t.x for t in strip.tags)
    assert strip.cards == (((pytest.approx((a + b) / 2), 20), (pytest.approx((a + b) / 2), 42)),)
    assert strip.cards_words == "Card between 8 cm and 12 cm."


def test_on_a_board_a_card_lies_across_the_way_just_above_the_lower_pin():
    cork = Board(name="cork", width=20, height=15, pins_every=5, bottom=60)
    pairs = (("cork", "r1p1"), ("cork", "r1p2")), (("cork", "r1p1"), ("cork", "r2p1"))
    strip = divided(*pairs, places=(cork,), pupae=(("m1", "r1p1"), ("m2", "r2p1"))).strips[0]
    upper, lower = strip.tags
    (upright, flat) = strip.cards
    assert upright[0][0] == pytest.approx(upright[1][0])
    assert flat[0][1] == flat[1][1] == pytest.approx(lower.y - 12)
    assert (flat[0][0] + flat[1][0]) / 2 == pytest.approx(lower.x) == pytest.approx(upper.x)
    assert strip.cards_words == "Card between r1p1 and r1p2; between r1p1 and r2p1."


def test_a_card_across_places_is_told_at_both_in_words_alone():
    south = replace(NORTH, name="south")
    found = divided((("north", "8"), ("south", "8")), places=(NORTH, south))
    assert [s.cards for s in found.strips] == [(), ()]
    assert [s.cards_words for s in found.strips] == [
        "Card between 8 cm and south 8 cm.",
        "Card between 8 cm and north 8 cm.",
    ]


def test_without_cards_nothing_is_told_of_them():
    strip = divided().strips[0]
    assert (strip.cards, strip.cards_words) == ((), "")


def test_in_the_small_picture_names_stand_at_the_ends_of_their_lines_and_within_the_picture():
    near = replace(NORTH, name="near", left=0, front=12)
    found = overview(laid(places=(replace(NORTH, left=0, front=10), near)))
    # less than 1 apart, and letters are 2.2 high: the first at its left end, the second at its right one
    for outline, anchor in zip(found.outlines, ("end", "start"), strict=True):
        (left, y), (right, _) = outline.corners
        assert (outline.name.anchor, outline.name.beside, outline.name.y) == (anchor, True, y)
        assert 0 < (left - outline.name.x if anchor == "end" else outline.name.x - right) < 3
        wide = 0.62 * 13 / (350 / found.width) * len(outline.name.text)
        edge = outline.name.x + (-wide if anchor == "end" else wide)
        assert 0 <= edge <= found.width


def test_a_name_that_finds_no_room_in_the_small_picture_is_left_out():
    crowd = [replace(NORTH, name=f"line {i}", left=0, front=10 + i) for i in range(12)]
    found = overview(laid(places=crowd))
    named = [o.name for o in found.outlines if o.name]
    assert 2 <= len(named) < 12


def test_every_kind_of_place_has_a_strip():
    assert set(STRIPS) == set(KINDS)
