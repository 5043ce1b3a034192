"""From a season to a plan: who stays, who moves, what is proved, and that the verifier agrees."""

from datetime import datetime

import pytest
import season_world
from season_world import ON, day, level, line, pupa, season, tub

from planner.planning.make_plan import make_plan
from planner.season import Board
from planner.verify import verify


def plan_of(places, pupae, on=ON, **options):
    return season_world.plan_of(season(places, pupae, **options.pop("settings", {})), on, **options)


def at(plan):
    return {h.pupa: (h.place, h.spot) for h in plan.hangs}


def moved(plan):
    return [m.pupa for m in plan.moves]


def test_pupae_of_far_dates_stay_on_their_lid():
    plan = plan_of([line(), tub()], [pupa("m1", 3, x=5, y=5), pupa("m2", 6, x=8, y=5)])
    assert (moved(plan), level(plan, "touched").value, level(plan, "touched").proved) == ([], 0, True)
    assert at(plan) == {"m1": ("tub", "5,5"), "m2": ("tub", "8,5")}


def test_of_two_beside_one_another_due_on_one_day_one_is_moved():
    plan = plan_of([line(), tub()], [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=8, y=5)])
    assert len(moved(plan)) == 1
    (move,) = plan.moves
    assert (move.from_place, move.to_place) == ("tub", "n")
    # 3 July, 24 h past the end of that day: firm from 5 July; due 3 July noon + 126 / 11.5 d = 14 July 10:57.
    assert move.not_before == datetime(2027, 7, 5)
    assert move.not_after.date() == day(13).day


def test_three_on_one_lid_too_near_in_date_leave_the_middle_one_out():
    # 3, 4 and 5 July in a row 8 cm apart: 3-4 and 4-5 clash; moving the middle one is enough.
    plan = plan_of([line(), tub()], [pupa(f"m{k}", 2 + k, x=8 * k, y=5) for k in (1, 2, 3)])
    assert moved(plan) == ["m2"]


def test_everybody_leaves_a_lid_that_is_to_be_cleared():
    plan = plan_of([line(), tub(clear=True)], [pupa("m1", 3, x=5, y=5), pupa("m2", 6, x=30, y=5)])
    assert sorted(moved(plan)) == ["m1", "m2"]
    assert (level(plan, "left").value, plan.left) == (0, ())


def test_a_soft_pupa_stays_and_its_pair_waits():
    # Both of 8 July are soft until 10 July 00:00: nothing to be done on the 9th, and no clash of the plan's.
    plan = plan_of([line(), tub()], [pupa("m1", 8, x=5, y=5), pupa("m2", 8, x=8, y=5)])
    assert (moved(plan), plan.clashes) == ([], ())
    assert [(p.a, p.b, p.gap, p.distance) for p in plan.waiting] == [("m1", "m2", 0, 3)]
    assert plan.waiting[0].why == "too soft to part before the end of Fri 9 Jul"


def test_a_firm_pupa_makes_way_for_a_soft_one():
    plan = plan_of([line(), tub()], [pupa("m1", 7, x=5, y=5), pupa("m2", 8, x=8, y=5)])
    assert (moved(plan), plan.clashes, plan.waiting) == (["m1"], (), ())


def test_a_soft_pupa_on_a_lid_to_be_cleared_is_left_for_now():
    plan = plan_of([line(), tub(clear=True)], [pupa("m1", 8, x=5, y=5), pupa("m2", 3, x=30, y=5)])
    assert (plan.left, moved(plan)) == (("m1",), ["m2"])


def test_who_darkens_or_is_told_to_stay_or_hangs_already_is_not_touched():
    held = [
        pupa("m1", 3, x=5, y=5, darkening=day(9)),
        pupa("m2", 3, x=8, y=5, stay=True),
        pupa("m3", 3, place="n", spot="20", hung=day(6)),
    ]
    plan = plan_of([line(), tub()], held)
    assert moved(plan) == []
    assert [(c.a, c.b) for c in plan.clashes] == [("m1", "m2")]
    assert (level(plan, "clashes").value, level(plan, "clashes").proved) == (1, True)


def test_a_newcomer_keeps_its_distance_from_who_hangs_already():
    # m1 of 3 July hangs at 8 of marks 4, 8, 12, 16; 4, 12 and 16 are within 10 cm of it: no spot for m2.
    held = pupa("m1", 3, place="n", spot="8", hung=day(6))
    pupae = [held, pupa("m2", 3, x=5, y=5), pupa("m3", 4, x=8, y=5)]
    plan = plan_of([line(marks=4), tub()], pupae)
    assert (len(plan.clashes), level(plan, "clashes").bound) == (1, 1)
    plan = plan_of([line(marks=5), tub()], pupae)  # mark 20 is 12 cm away
    assert plan.clashes == ()
    assert at(plan)[moved(plan)[0]] == ("n", "20")


def test_a_prepupa_stays_and_clashes_with_nobody():
    plan = plan_of([line(), tub()], [pupa("m1", None, x=5, y=5), pupa("m2", 3, x=8, y=5)])
    assert (moved(plan), plan.clashes, plan.waiting) == ([], (), ())


def test_who_is_gone_takes_no_spot():
    gone = pupa("m1", 1, place="n", spot="4", outcome="emerged", ended=day(8))
    plan = plan_of([line(marks=1), tub()], [gone, pupa("m2", 3, x=5, y=5), pupa("m3", 3, x=8, y=5)])
    assert [h.pupa for h in plan.hangs] == ["m2", "m3"]
    assert at(plan)[moved(plan)[0]] == ("n", "4")


def test_unmeasured_pupae_on_a_lid_are_taken_for_neighbours():
    plan = plan_of([line(marks=12), tub()], [pupa(f"m{k}", 3) for k in (1, 2, 3)])
    assert len(moved(plan)) == 2


def test_the_fewest_clashes_when_room_is_too_small():
    # One mark; four of one date in a tight corner of the lid, which all neighbour one another: 6 pairs.
    # Moving one leaves three together: 3 pairs, and no plan has fewer.
    pupae = [pupa(f"m{k}", 3, x=5 + k, y=5) for k in range(1, 5)]
    plan = plan_of([line(marks=1), tub()], pupae)
    assert len(plan.clashes) == 3
    assert (level(plan, "clashes").bound, level(plan, "clashes").proved) == (3, True)
    assert all(clash.gap == 0 for clash in plan.clashes)


def test_a_lower_gap_for_this_plan_only():
    pupae = [pupa("m1", 3, x=5, y=5), pupa("m2", 4, x=8, y=5)]
    assert len(moved(plan_of([line(), tub()], pupae))) == 1
    plan = plan_of([line(), tub()], pupae, gap=1)
    assert (moved(plan), plan.gap_days) == ([], 1)


def test_the_widest_gap_at_no_further_touch_and_with_all_touches():
    # On the lid 3 and 5 July stay (gap 2). With --widest one of them is moved away: no neighbours at all.
    pupae = [pupa("m1", 3, x=5, y=5), pupa("m2", 5, x=8, y=5)]
    few = plan_of([line(), tub()], pupae)
    assert (moved(few), few.neighbours["smallest_gap"]) == ([], 2)
    wide = plan_of([line(), tub()], pupae, widest=True)
    assert (len(moved(wide)), level(wide, "smallest_gap").value) == (1, None)
    assert level(wide, "smallest_gap").proved


def test_a_wider_gap_is_not_bought_with_a_touch():
    # m1 may not be touched, m2 could go to the mark and have no neighbour at all: but it does not clash.
    held = pupa("m1", 3, darkening=day(9))
    plan = plan_of([line(marks=1), tub()], [held, pupa("m2", 5)])
    assert (moved(plan), level(plan, "touched").value, plan.neighbours["smallest_gap"]) == ([], 0, 2)


def test_least_carrying_hangs_each_by_its_own_tub():
    # Two tubs under the two ends of a line; each pupa goes to its own end.
    places = [line(marks=30, left=0, front=0)] + [
        tub(name, clear=True, left=x, front=20, height=100) for name, x in (("west", 0), ("east", 80))
    ]
    pupae = [pupa("m1", 3, place="east", x=5, y=5), pupa("m2", 3, place="west", x=5, y=5)]
    plan = plan_of(places, pupae)
    x = {h.pupa: h.x for h in plan.hangs}
    assert x["m2"] < 60 < x["m1"]
    assert level(plan, "carrying").proved


def test_neighbours_across_places_that_stand_side_by_side():
    # Two lines 5 cm apart in depth at one height with one mark each: of three of one date none can hang.
    places = [line("n", 1, left=0, front=0), line("s", 1, left=0, front=5), tub(clear=True)]
    plan = plan_of(places, [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=30, y=5)])
    assert len(plan.clashes) == 1
    assert plan.clashes[0].distance == 5
    far = [line("n", 1, left=0, front=0), line("s", 1, left=0, front=10), tub(clear=True)]
    assert plan_of(far, [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=30, y=5)]).clashes == ()


def test_a_board_hangs_nobody_within_the_drop_of_another_due_with_it():
    board = Board(name="cork", width=10, height=30, pins_every=10, bottom=100)  # pins at 25, 15, 5 above it
    plan = plan_of([board, tub(clear=True)], [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=30, y=5)])
    assert len(plan.clashes) == 1  # 10 or 20 cm apart in height, and the drop is 20
    plan = plan_of(
        [board, tub(clear=True)], [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=30, y=5)], settings={"drop": 19}
    )
    assert plan.clashes == ()


def test_nobody_at_all():
    plan = plan_of([line(), tub()], [])
    assert (plan.hangs, plan.moves, level(plan, "clashes").proved) == ((), (), True)


def test_too_cold_to_develop_means_no_date():
    plan = plan_of([line(), tub()], [pupa("m1", 3, x=5, y=5)], settings={"constant": 10.0})
    assert plan.hangs[0].due is None


def test_the_same_season_gives_the_same_plan():
    pupae = [pupa(f"m{k}", 1 + k % 6, x=2 + k % 9 * 4, y=3 + k // 9 * 6) for k in range(12)]
    places = [line(marks=9), line("s", 9), tub(clear=True)]
    first = make_plan(season(places, pupae), ON, seconds=60)
    assert make_plan(season(places, pupae), ON, seconds=60) == first


def test_stopped_at_once_the_plan_is_whole_but_not_proved():
    pupae = [pupa(f"m{k}", 1 + k % 6, x=2 + k % 9 * 4, y=3 + k // 9 * 6) for k in range(20)]
    case = season([line(marks=14), line("s", 14), tub(clear=True)], pupae)
    plan = make_plan(case, ON, stop=lambda: True)
    assert verify(case, plan) == []
    assert not all(x.proved for x in plan.proof)


@pytest.mark.parametrize("widest", [False, True])
def test_progress_is_told(widest):
    told = []
    case = season([line(), tub(clear=True)], [pupa("m1", 3, x=5, y=5), pupa("m2", 3, x=8, y=5)])
    make_plan(case, ON, widest=widest, progress=told.append)
    # Both must leave the lid to be cleared: no solver is asked for that.
    assert told[0] == "least risk, elbow room and carrying"


def test_a_risk_instead_of_a_gap_bounds_the_chance_of_drying_together():
    # Whatever is chosen, every neighbour pair's own chance is within the risk.
    from planner.emergence import emergences, together
    from planner.verify import clashes

    pupae = [pupa(f"m{k}", 3 + k % 5, x=2 + k % 9 * 4, y=3 + k // 9 * 6) for k in range(10)]
    places = [line(marks=24), tub(clear=True)]
    plan = plan_of(places, pupae, settings={"risk": 0.02})
    case = season(places, pupae, risk=0.02)
    assert (plan.risk, plan.gap_days, plan.clashes) == (0.02, 0, ())
    chances = emergences(case, case.pupae, plan.on)
    from dataclasses import replace

    loose = replace(plan, gap_days=1000.0)  # then every neighbour pair is listed
    for pair in clashes(case, loose):
        assert together(chances[pair.a], chances[pair.b]) <= 0.02


def test_a_smaller_risk_asks_for_more_days():
    # Two spots side by side. At 26 % two days apart are enough, at 0.1 % they are not.
    pupae = [pupa("m1", 3, x=5, y=5), pupa("m2", 5, x=30, y=5)]
    places = [line(marks=2), tub(clear=True)]
    assert plan_of(places, pupae, settings={"risk": 0.26}).clashes == ()
    plan = plan_of(places, pupae, settings={"risk": 0.001})
    assert len(plan.clashes) == 1
    assert level(plan, "clashes").proved


def test_the_benefit_is_a_number():
    pupae = [pupa(f"m{k}", 3, x=5 + 3 * k, y=5) for k in range(4)]
    plan = plan_of([line(marks=30), tub()], pupae)
    assert plan.drying["as_found"] > 1 > plan.drying["as_planned"] == 0
