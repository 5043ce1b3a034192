"""How panels fill pages, and how labels find room."""

import pytest

from planner.draw.map.flow import Block, fill
from planner.draw.paper.boxes import around, middle, overlap, room_near


def block(group, height, glued=False):
    return Block(group, height, lambda page, _x, _y: page, glued)


def heights(pages):
    return [[b.height for b, _ in page] for page in pages]


def test_blocks_follow_one_another_down_the_page():
    pages = fill([block("a", 10), block("a", 20), block("b", 30)], 100)
    assert [y for _, y in pages[0]] == [0, 10, 30]


def test_a_block_that_does_not_fit_begins_the_next_page():
    assert heights(fill([block("a", 60), block("b", 60)], 100)) == [[60], [60]]


def test_an_endless_sheet_has_one_page():
    assert len(fill([block("a", 60)] * 9, None)) == 1


def test_a_heading_never_stands_last_on_a_page():
    assert heights(fill([block("a", 90), block("b", 8, glued=True), block("b", 20)], 100)) == [[90], [8, 20]]


def test_a_heading_goes_with_what_follows_even_of_another_group():
    assert heights(fill([block("a", 90), block("b", 8, glued=True), block("c", 20)], 100)) == [[90], [8, 20]]


def test_a_place_begun_low_on_a_page_moves_whole_to_the_next():
    assert heights(fill([block("a", 60), block("b", 30), block("b", 40)], 100)) == [[60], [30, 40]]


def test_a_place_begun_high_on_a_page_starts_there_and_goes_on_on_the_next():
    assert heights(fill([block("a", 40), block("b", 50), block("b", 40)], 100)) == [[40, 50], [40]]


def test_a_block_taller_than_a_page_has_one_to_itself():
    assert heights(fill([block("a", 10), block("b", 150), block("c", 10)], 100)) == [[10], [150], [10]]


def test_a_label_takes_the_middle_when_it_is_free():
    assert middle(room_near(5.0, 5.0, (4.0, 2.0), [])) == (5.0, 5.0)


def test_a_label_moves_to_the_nearest_room():
    taken = [around(0.0, 0.0, 20.0, 2.0)]  # wide and low: the way out is up or down, by (2 + 2) / 2 = 2 mm
    place = room_near(0.0, 0.0, (4.0, 2.0), taken)
    assert abs(middle(place)[1]) == 2.0
    assert middle(place)[0] == 0.0


def test_a_label_without_room_within_2_cm_is_left_out():
    assert room_near(0.0, 0.0, (4.0, 2.0), [around(0.0, 0.0, 60.0, 60.0)]) is None


def test_a_label_goes_no_farther_than_allowed():
    taken = [around(0.0, 0.0, 20.0, 10.0)]  # the way out is (10 + 2) / 2 = 6 mm up or down
    assert room_near(0.0, 0.0, (4.0, 2.0), taken, within=5.0) is None
    assert room_near(0.0, 0.0, (4.0, 2.0), taken, within=6.0) is not None


@pytest.mark.parametrize(
    ("other", "expected"),
    [((1, 1, 3, 3), True), ((2, 0, 4, 2), False), ((0, 2, 2, 4), False), ((0.5, 0.5, 1, 1), True)],
)
def test_boxes_that_only_touch_do_not_overlap(other, expected):
    assert overlap((0, 0, 2, 2), other) is expected
