"""Room for those to come: kept where it can be, at the expense of nobody, and told where it cannot."""

from datetime import date, datetime

import pytest
from season_world import day, level, line, plan_of, pupa, season, tub

from planner.season import Expected, When

MORNING = When.parse("2027-07-08T06:00")  # firm when the plan is made, and due within two days of 9 July's


def expected(day, count):
    return Expected(date(2027, 7, day), count, "monarch")


def test_room_is_kept_for_one_that_is_expected():
    # One mark each for the pupa of 1 July and the one expected on the 10th: 9 days apart.
    case = season([tub(clear=True), line(marks=2)], [pupa("a", 1)], expected=(expected(10, 1),))
    plan = plan_of(case)
    assert [(k.who, k.place) for k in plan.kept] == [("expected 2027-07-10 monarch", "n")]
    assert (level(plan, "room").value, level(plan, "room").proved) == (0, True)
    # Firm a day after the end of the day on which it pupated; hung at the hour at which plans are made.
    assert plan.kept[0].since == datetime(2027, 7, 12, 12)


def test_who_is_to_come_is_due_by_the_same_rule_as_who_hangs():
    # The marks are neighbours. The one expected pupates two days after the one that hangs and, at a constant
    # temperature, is due two days after it: no clash at a gap of two days.
    hung = pupa("a", 8, "n", spot="4")
    plan = plan_of(season([tub(), line(marks=2)], [hung], expected=(expected(10, 1),)))
    assert [(k.who, k.spot) for k in plan.kept] == [("expected 2027-07-10 monarch", "8")]


def test_today_s_pupa_hangs_where_tomorrow_s_still_finds_room():
    # Five marks, each with two neighbours either side: three of nearly one date would need 1, 4 and 7. The
    # one of today is due a day before the two expected, so one of them finds room and the other does not.
    case = season([tub(clear=True), line(marks=5)], [pupa("a", MORNING)], expected=(expected(9, 2),))
    plan = plan_of(case)
    assert (level(plan, "room").value, level(plan, "room").proved) == (1, True)


def test_seven_marks_hold_one_of_today_and_two_of_tomorrow():
    # 1, 4 and 7 are out of reach of one another: the only three such of seven marks.
    case = season([tub(clear=True), line(marks=7)], [pupa("a", MORNING)], expected=(expected(9, 2),))
    plan = plan_of(case)
    marks = sorted([plan.hangs[0].x, *(float(k.spot) for k in plan.kept)])
    assert marks == [4, 16, 28]


def test_a_spot_comes_free_when_its_pupa_has_emerged():
    # The only mark is taken by one that pupated on 1 July, due about the 12th at 23 °C. One expected on the
    # 20th can have it.
    hung = pupa("a", 1, "n", spot="4")
    case = season([tub(), line(marks=1)], [hung], expected=(expected(20, 1),))
    plan = plan_of(case)
    assert [(k.who, k.spot) for k in plan.kept] == [("expected 2027-07-20 monarch", "4")]


def test_no_spot_is_given_away_while_its_pupa_may_still_hang_there():
    hung = pupa("a", 1, "n", spot="4")
    case = season([tub(), line(marks=1)], [hung], expected=(expected(9, 1),))
    plan = plan_of(case)
    assert plan.kept == ()
    assert (level(plan, "room").value, level(plan, "room").proved) == (1, True)


def test_a_soft_pupa_on_a_lid_to_be_cleared_has_its_room_kept():
    case = season([tub(clear=True), line(marks=1)], [pupa("a", 9)])
    plan = plan_of(case)
    assert [(k.who, k.spot) for k in plan.kept] == [("a", "4")]


def test_of_two_soft_ones_side_by_side_one_will_have_to_go():
    both = [pupa("a", 9, x=5.0, y=5.0), pupa("b", 9, x=7.0, y=5.0)]
    plan = plan_of(season([tub(), line(marks=3)], both))
    assert len(plan.kept) == 1


def test_nobody_is_touched_for_those_to_come():
    # Both may stay on the lid; only if one of them moved could the expected find no room, so nobody does.
    case = season([tub(), line(marks=2)], [pupa("a", 1), pupa("b", 5)], expected=(expected(10, 2),))
    assert plan_of(case).moves == ()


def test_kept_spots_keep_their_distance_in_days():
    # Two of one date are expected and all marks are neighbours: room for one of them only.
    case = season([tub(), line(marks=3)], [], expected=(expected(10, 2),))
    plan = plan_of(case)
    assert len(plan.kept) == 1
    assert level(plan, "room").value == 1


def test_without_anybody_expected_there_is_no_such_objective():
    plan = plan_of(season([tub(), line(marks=2)], [pupa("a", 1)]))
    assert "room" not in [x.name for x in plan.proof]


def test_those_recorded_already_are_expected_no_more():
    # Two were expected on the 9th; one of that day is on the lid, and may stay there.
    both = [pupa("a", 9)]
    plan = plan_of(season([tub(), line(marks=9)], both, expected=(expected(9, 2),)))
    assert [k.who for k in plan.kept] == ["expected 2027-07-09 monarch"]


@pytest.mark.parametrize(
    ("beside", "options"),
    [
        (pupa("f", MORNING, x=1, y=1, stay=True), {}),
        (pupa("f", When.parse("2027-07-06T02:00"), x=1, y=1, darkening=day(9)), {"gap": 3.0}),
    ],
    ids=["beside one told to stay", "with a wider gap"],
)
def test_room_is_kept_for_a_soft_one_that_will_have_to_be_parted(beside, options):
    soft = pupa("s", When.parse("2027-07-08T14:00"), x=2, y=1)
    plan = plan_of(season([tub(), line(marks=2)], [beside, soft]), **options)
    assert [pair.b for pair in plan.waiting] == ["s"]
    assert [kept.who for kept in plan.kept] == ["s"]


def test_one_of_the_same_date_that_stays_on_its_lid_takes_no_room_from_those_to_come():
    # m1 and m2 are due on 14 July. m2, told to stay on the lid, is in nobody's way; m1 has left the one mark
    # before the one expected is firm, on the 18th. m3 and m4 clash, so that the solver is asked.
    coming = (Expected(date(2027, 7, 16), 1, "monarch"),)
    stay = [pupa(name, 5, x=x, y=20, stay=True) for name, x in (("m3", 5), ("m4", 8))]
    pupae = [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=35, y=5, stay=True), *stay]
    plan = plan_of(season([line(marks=1), tub(clear=True)], pupae, expected=coming))
    assert (level(plan, "room").value, level(plan, "room").proved) == (0, True)
