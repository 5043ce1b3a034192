"""What a plan may claim by the bounds of one that was asked for less."""

from planner.planning.relaxation import no_better_than
from planner.season import Level


def level(name, value, bound, proved=True):
    return Level(name=name, value=value, bound=bound, proved=proved)


IDEAL = [level("clashes", 0, 0), level("touched", 3, 3), level("smallest_gap", 4, 5, proved=False)]


def test_as_good_as_the_other_is_proved_as_that_was():
    assert no_better_than(IDEAL, IDEAL) == IDEAL


def test_a_level_not_reached_is_bounded_by_the_other_and_so_not_proved():
    found = no_better_than([level("clashes", 0, 0), level("touched", 4, 4)], IDEAL)
    assert found == [level("clashes", 0, 0), level("touched", 4, 3, proved=False)]


def test_what_comes_after_a_level_not_reached_is_bounded_by_what_nothing_can_beat():
    # With one clash fewer might have to be touched than the 3 that no clash takes.
    found = no_better_than(
        [level("clashes", 1, 1), level("touched", 2, 2), level("smallest_gap", 3, 3)], IDEAL
    )
    assert found == [
        level("clashes", 1, 0, proved=False),
        level("touched", 2, 0, proved=False),
        level("smallest_gap", 3, None, proved=False),
    ]


def test_a_level_the_other_has_not_is_bounded_by_what_nothing_can_beat():
    assert no_better_than([level("left", 0, 0), level("clashes", 0, 0)], IDEAL) == [
        level("left", 0, 0),
        level("clashes", 0, 0),
    ]


def test_what_is_sought_once_it_is_settled_who_moves_is_proved_of_the_one_plan_only():
    # Others may move here than there, and less be carried for it.
    ideal = [level("touched", 2, 2), level("risk", 1, 1), level("elbow_room", 3, 3), level("length", 30, 30)]
    assert no_better_than(ideal, ideal) == [
        level("touched", 2, 2),
        level("risk", 1, 1),
        level("elbow_room", 3, 0, proved=False),
        level("length", 30, 0, proved=False),
    ]
