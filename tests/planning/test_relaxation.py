"""What a plan may claim by the bounds of one that was asked for less."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from planner.emergence import Forecast
from planner.planning.relaxation import as_proved_before, no_better_than
from planner.season import Hang, Level, Plan


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


def test_where_all_moves_were_kept_there_what_comes_after_is_bounded_by_that():
    ideal = [level("stability", 0, 0), level("room", 2, 2)]
    assert no_better_than(ideal, ideal) == ideal
    changed = [level("stability", 1, 1), level("room", 2, 2)]
    assert no_better_than(changed, changed) == [
        level("stability", 1, 0, proved=False),
        level("room", 2, 0, proved=False),
    ]


ON = datetime(2027, 7, 9, 21)
BEFORE = Plan(
    on=ON,
    gap_days=2,
    hangs=(Hang(pupa="m1", place="north", spot="4"),),
    proof=(level("clashes", 0, 0), level("risk", 0.4, 0.3, proved=False)),
)
AGAIN = replace(
    BEFORE,
    on=ON + timedelta(minutes=90),
    proof=(level("clashes", 0, 0), level("stability", 0, 0), level("risk", 0.4, 0.4)),
)


def firm(hour):
    moment = ON.replace(hour=hour)
    return {"m1": Forecast("m1", "firm", None, firm_from=moment, dark_from=None, why="")}


def test_the_same_plan_again_claims_no_more_than_before_though_its_moves_are_kept():
    assert as_proved_before(AGAIN, BEFORE, firm(12)).proof == BEFORE.proof


def test_what_is_not_proved_again_is_not_claimed_though_it_was_before():
    unsure = replace(AGAIN, proof=(level("clashes", 0, 0), level("risk", 0.4, 0.2, proved=False)))
    assert as_proved_before(unsure, BEFORE, firm(12)) == unsure


@pytest.mark.parametrize(
    ("again", "hour"),
    [
        (AGAIN, 22),  # it was soft at the plan before
        (replace(AGAIN, hangs=(replace(BEFORE.hangs[0], spot="8"),)), 12),
        (replace(AGAIN, inputs={"pupae.csv": "other"}), 12),
        (replace(AGAIN, proof=(level("clashes", 0, 0), level("stability", 0, 0))), 12),
    ],
    ids=["firm since", "another spot", "another record", "other levels"],
)
def test_where_something_is_new_a_plan_claims_what_is_proved_of_the_moves_kept(again, hour):
    assert as_proved_before(again, BEFORE, firm(hour)) == again
    assert as_proved_before(again, None, firm(hour)) == again
