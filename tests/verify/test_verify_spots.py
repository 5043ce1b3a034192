"""The verifier's rules about spots: for each, a plan that keeps it, one that breaks it, one on its edge."""

import pytest
from verify_world import good

from planner.season.places import Place
from planner.verify.places import point, spot_fault


def test_a_plan_that_keeps_every_rule_has_no_breach():
    assert good().says() == []


# the spot exists


def test_any_free_mark_of_a_line_and_any_pin_of_a_board_will_do():
    assert good().to("a1", "north", "44", 44).to("b1", "cork", "r4p5", 25, 2.5).says() == []


def test_a_place_that_is_not_there_is_named_with_those_that_are():
    assert good().to("a1", "attic", "4", 4).says() == [
        "spot: a1: no place is called attic: allowed are cork, north, south, tub-2, tub-3"
    ]


@pytest.mark.parametrize("tag", ["r1p1", "", "-4", "4 cm", "4,0", "nan", "1e999", "٤"])
def test_a_spot_on_a_line_is_a_number(tag):
    assert good().to("a1", "north", tag, 4).says() == [
        f"spot: a1 on line north: '{tag}' is no spot: "
        "allowed is a distance from its left end in cm, such as 36"
    ]


class Hoop(Place):
    kind = "hoop"
    keys, extent = (), (40.0, 40.0)
    read = faults = no_card = words = stand = None


def test_a_spot_on_a_kind_of_place_that_the_verifier_does_not_know_is_no_spot():
    ring = Hoop(name="ring")
    assert spot_fault(ring, "c3", point(ring, "c3", 1.0), False, good().season) == (
        "'c3' is no spot: the verifier knows no place of kind hoop"
    )


def test_a_spot_between_two_marks_is_no_spot():
    assert good().to("a1", "north", "5", 5).says() == [
        "spot: a1 on line north: no clip is at 5 cm: allowed are multiples of 4 cm"
    ]


def test_who_hangs_between_two_marks_already_may_stay_there():
    # h1 hangs at 30.3 cm of a line with marks every 4 cm; written another way it is still the same spot
    assert good().hang("h1", spot="30.30").says() == []
    assert good().pupa("h1", spot="+3.03e1").says() == []


@pytest.mark.parametrize(("tag", "x"), [("0", 0), ("60", 60), ("64", 64)])
def test_the_ends_of_a_line_are_no_spots(tag, x):
    assert good().to("a1", "north", tag, x).says() == [
        f"spot: a1 on line north: {x} cm is not on it: allowed is more than 0 and less than 60 cm"
    ]


@pytest.mark.parametrize("x", [1, 59])
def test_a_sliding_clip_may_go_anywhere_between_the_knots_of_its_line(x):
    assert good().to("a1", "south", str(x), x).says() == []


@pytest.mark.parametrize("x", [0.5, 59.5])
def test_a_sliding_clip_is_not_put_on_a_knot(x):
    assert good().to("a1", "south", str(x), x).says() == [
        f"spot: a1 on line south: {x} cm is at a knot: allowed for clips that slide is 1 cm to 59 cm"
    ]


def test_a_sliding_clip_sits_at_whole_steps_inside_its_line():
    assert good().to("a1", "south", "58.4", 58.4).says() == [
        "spot: a1 on line south: 58.4 cm is too fine to clip by: allowed are multiples of 0.5 cm"
    ]
    assert good().to("a1", "south", "60", 60).says() == [
        "spot: a1 on line south: 60 cm is not on it: allowed is more than 0 and less than 60 cm"
    ]


@pytest.mark.parametrize("tag", ["04", "4.0", "4.", "+4", "0.4e1"])
def test_a_tag_is_written_in_its_shortest_form(tag):
    assert good().to("a1", "north", tag, 4).says() == [
        f"spot: a1 on line north: spot '{tag}' is not in its shortest form: allowed is 4"
    ]


def test_a_board_has_no_spots_but_pins():
    assert good().to("b1", "cork", "12.5", 2.5, 17.5).says() == [
        "spot: b1 on board cork: '12.5' is no pin: allowed are names such as r2p5"
    ]


@pytest.mark.parametrize(
    ("tag", "x", "y", "said"),
    [
        ("r1p7", 32.5, 17.5, "x 32.5 cm, y 17.5 cm"),  # six pins in row 1: 2.5 to 27.5 cm
        ("r2p6", 30, 12.5, "x 30 cm, y 12.5 cm"),  # five in row 2: the sixth would be on the very edge
        ("r5p1", 2.5, -2.5, "x 2.5 cm, y -2.5 cm"),  # four rows: 17.5 down to 2.5 cm
    ],
)
def test_a_pin_beyond_the_board_is_none(tag, x, y, said):
    assert good().to("b1", "cork", tag, x, y).says() == [
        f"spot: b1 on board cork: pin {tag} would be at {said}: allowed is inside the board, 30 cm by 20 cm"
    ]


def test_a_pin_on_the_bottom_edge_is_none():
    # rows at 2.5, 7.5, 12.5 and 17.5 cm below the top
    assert good().place("cork", height=17.5).hang("b1", y=15).hang("b2", y=15).hang("b3", y=10).says() == []
    low = good().place("cork", height=12.5).hang("b1", y=10).hang("b2", y=10).hang("b3", y=5)
    assert low.to("b3", "cork", "r3p1", 2.5, 0).says() == [
        "spot: b3 on board cork: pin r3p1 would be at x 2.5 cm, y 0 cm: "
        "allowed is inside the board, 30 cm by 12.5 cm"
    ]


def test_a_square_board_shifts_no_row():
    square = good().place("cork", pattern="square")
    assert square.hang("b3", x=2.5).says() == []
    assert square.says() == [
        "position: b3 on board cork at r2p1 is put at x 5 cm, y 12.5 cm: allowed is x 2.5 cm, y 12.5 cm"
    ]


# x and y agree


def test_positions_on_a_lid_are_those_recorded_and_none_where_none_is():
    assert good().hang("p1", x=None, y=None).hang("c1", x=20.004, y=10).says() == []


def test_a_position_that_contradicts_its_tag_is_told():
    assert good().hang("a1", x=8).says() == [
        "position: a1 on line north at 4 is put at x 8 cm, y 0 cm: allowed is x 4 cm, y 0 cm"
    ]
    assert good().hang("l1", x=None, y=None).says() == [
        "position: l1 on lid tub-3 is put at no position: allowed is x 3 cm, y 3 cm"
    ]
    assert good().hang("l1", y=None).says() == [
        "position: l1 on lid tub-3 is put at no position: allowed is x 3 cm, y 3 cm"
    ]
    assert good().hang("p1", x=1, y=1).says() == [
        "position: p1 on lid tub-3 is put at x 1 cm, y 1 cm: allowed is no position"
    ]


def test_positions_agree_to_a_twentieth_of_a_millimetre():
    assert good().hang("a1", x=4.0049).says() == []
    assert good().hang("a1", x=4.0051).says() == [
        "position: a1 on line north at 4 is put at x 4.005 cm, y 0 cm: allowed is x 4 cm, y 0 cm"
    ]


def test_tags_and_positions_are_told_in_the_keepers_unit():
    # marks every 4 inches, 10.16 cm: the tag 20 is the fifth mark, at 50.8 cm; 20 cm are 7.874 in
    inches = good().set(units="in").place("north", length=160, clips_every=10.16)
    says = inches.to("a1", "north", "20", 50.8).says()
    assert not [line for line in says if "a1" in line]
    says = inches.to("a1", "north", "20", 20).says()
    assert "position: a1 on line north at 20 is put at x 7.874 in, y 0 in: allowed is x 20 in, y 0 in" in says


# sliding clips


def test_sliding_clips_side_by_side_are_fine():
    assert good().to("s2", "south", "13.5", 13.5).says() == []  # 3 cm from s1, a clip's width


def test_sliding_clips_pushed_into_one_another_are_told():
    assert good().to("s2", "south", "13", 13).says() == [
        "clips: s1 and s2 are clipped 2.5 cm apart on line south (10.5 and 13): "
        "allowed is a clip's width, 3 cm, or more"
    ]


def test_a_clip_between_two_is_told_of_both():
    # pupated so that all gaps are two days or more: a1 7 July, s1 10 July, s2 12 July
    assert good().to("a1", "south", "12", 12).says() == [
        "clips: s1 and a1 are clipped 1.5 cm apart on line south (10.5 and 12): "
        "allowed is a clip's width, 3 cm, or more",
        "clips: a1 and s2 are clipped 2 cm apart on line south (12 and 14): "
        "allowed is a clip's width, 3 cm, or more",
    ]


def test_clips_that_hang_too_close_already_are_left_so():
    world = good().to("s2", "south", "13", 13)
    stays = world.pupa("s1", place="south", spot="10.5", x=None, y=None).hang("s1", from_place=None)
    both = stays.pupa("s2", place="south", spot="13", x=None, y=None).hang("s2", from_place=None)
    assert [line for line in stays.says() if line.startswith("clips")] == [
        "clips: s1 and s2 are clipped 2.5 cm apart on line south (10.5 and 13): "
        "allowed is a clip's width, 3 cm, or more"
    ]
    assert [line for line in both.says() if line.startswith("clips")] == []


# one pupa per spot


def test_two_on_one_clip_are_told():
    # a1 is due 7 July and e1 12 July: no clash, yet no room
    assert good().to("a1", "north", "48", 48).says() == [
        "shared: a1 and e1 hang on one spot, line north at 48: allowed is one pupa",
        "order: step 10 hangs e1 on line north at 48, where a1 still hangs: allowed is a free spot",
    ]


def test_two_at_one_point_of_a_lid_are_told():
    both = good().pupa("d1", x=25, y=10).hang("d1", x=25, y=10)
    assert both.says() == [
        "shared: c2 and d1 hang on one spot, lid tub-2, x 25 cm, y 10 cm: allowed is one pupa"
    ]


def test_two_points_of_a_lid_that_nearly_touch_are_two_spots():
    assert good().pupa("d1", x=25.1, y=10).hang("d1", x=25.1, y=10).says() == []


# never to a lid


def test_a_lid_takes_nobody_in():
    assert good().to("b1", "tub-2", "?", 5, 25).says() == [
        "lid: b1 is moved to lid tub-2: allowed are lines and boards"
    ]


def test_a_pupa_is_not_moved_about_on_its_own_lid():
    assert good().to("a1", "tub-2", "?", 5, 25).says() == [
        "position: a1 on lid tub-2 is put at x 5 cm, y 25 cm: allowed is x 5 cm, y 5 cm",
        "from: a1 has from tub-2 but hangs where it is recorded: allowed is no from",
    ]


def test_who_formed_on_a_lid_may_stay_on_it():
    # a1, due 7 July, is far from everybody due within two days of it
    stays = good().hang("a1", place="tub-2", spot="?", x=5, y=5, from_place=None)
    moves = tuple(move for move in stays.plan.moves if move.pupa != "a1")
    renumbered = tuple(type(move)(**{**vars(move), "step": n}) for n, move in enumerate(moves, start=1))
    assert stays.claim(moves=renumbered, proof=()).says() == []


# keeper reach


def test_a_line_at_the_edge_of_the_keepers_reach_is_used():
    assert good().place("north", height=190).says() == []
    assert good().place("north", height=40).says() == []


def test_a_line_out_of_reach_is_told():
    says = good().place("south", height=190.01).says()
    assert says == [
        "reach: s1 on line south at 10.5 hangs 190.01 cm high: allowed is 40 cm to 190 cm",
        "reach: s2 on line south at 14 hangs 190.01 cm high: allowed is 40 cm to 190 cm",
    ]


def test_the_height_of_a_pin_counts_from_the_floor():
    # the pin is 12.5 cm above the bottom edge: 27.4 + 12.5 = 39.9 cm
    assert good().place("cork", bottom=27.4).says() == [
        "reach: b3 on board cork at r2p1 hangs 39.9 cm high: allowed is 40 cm to 190 cm"
    ]


def test_who_hangs_out_of_reach_already_is_left_there():
    says = good().place("north", height=200).says()
    assert [line.split()[1] for line in says] == ["a1", "a2", "a3", "a4", "e1", "e2"]  # and not h1


# clearance


def test_exactly_the_clearance_is_enough():
    assert good().place("south", below=139).says() == []  # 150 - 139 = 11 cm


def test_too_little_height_under_a_spot_is_told():
    assert good().place("south", below=139.5).says() == [
        "clearance: s1 on line south at 10.5 has 10.5 cm free below it: allowed is 11 cm or more",
        "clearance: s2 on line south at 14 has 10.5 cm free below it: allowed is 11 cm or more",
    ]


def test_the_lower_rows_of_a_board_have_less_height():
    # pins at 90 + 17.5 and 90 + 12.5 cm above a shelf at 92 cm: 15.5 and 10.5 cm
    assert good().place("cork", below=92).says() == [
        "clearance: b3 on board cork at r2p1 has 10.5 cm free below it: allowed is 11 cm or more"
    ]


def test_who_hangs_low_already_is_left_there():
    says = good().place("north", below=140).says()
    assert [line.split()[1] for line in says] == ["a1", "a2", "a3", "a4", "e1", "e2"]  # and not h1
