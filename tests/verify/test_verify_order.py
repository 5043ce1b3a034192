"""The verifier carries out the list of moves, and every other order that it allows."""

from dataclasses import replace
from datetime import datetime

from verify_ring import LATER, RING, move, ring, step

from planner.season.plan.plan_record import Stuck


def test_a_ring_by_way_of_a_spare_spot_keeps_every_rule():
    assert ring().says() == []


# one after another


def test_steps_in_the_wrong_order_put_two_on_one_spot():
    turned = step(step(step(ring(), 1, step=9), 2, step=1, after=()), 9, step=2)
    assert [line for line in turned.says() if line.startswith("order")] == [
        "order: step 1 hangs r2 on line north at 4, where r1 still hangs: allowed is a free spot"
    ]


def test_a_spot_taken_before_who_is_parked_there_goes_on():
    early = step(step(step(ring(), 3, step=9), 4, step=3, after=()), 9, step=4)
    assert [line for line in early.says() if line.startswith("order")] == [
        "order: step 3 hangs r3 on line north at 36, where r1 still hangs: allowed is a free spot"
    ]


def test_a_clip_needs_its_room_before_it_is_hung():
    early = step(step(step(ring(), 5, step=9), 6, step=5, after=()), 9, step=6)
    assert [line for line in early.says() if line.startswith("order")] == [
        "order: step 5 hangs s2 on line south at 28.5, 1.5 cm from s1, which still hangs there: "
        "allowed is 3 cm or more, for two clips"
    ]


def test_two_that_hang_too_near_from_the_beginning_are_left_so():
    near = ring().set(
        pupae=tuple(
            replace(p, place="south", spot="48.5", x=None, y=None) if p.id == "s2" else p
            for p in ring().season.pupae
        )
    )
    stays = near.hang("s2", place="south", spot="48.5", x=48.5, from_place=None)
    without = stays.claim(moves=tuple(m for m in stays.plan.moves if m.pupa != "s2"), proof=())
    # s1 now goes to 50, 1.5 cm from s2: the clips are told once, by their own rule.
    assert [line.split(":")[0] for line in without.says()] == ["clips"]
    both = replace(without, plan=replace(without.plan, moves=without.plan.moves[:4]))
    s1 = both.pupa("s1", spot="50").hang("s1", from_place=None)
    assert s1.says() == []


# any order that the list allows


def test_a_wait_that_is_not_told_is_missed():
    # step 3 waited for step 1 only by way of step 2
    assert step(ring(), 2, after=()).says() == [
        "after: step 3 takes r1 on: allowed is after step 1",
        "after: step 2 hangs r2 on line north at 4, for which r1 makes way: allowed is after step 1",
    ]


def test_the_one_that_takes_the_spare_spot_waits_as_well():
    assert step(ring(), 4, after=()).says() == [
        "after: step 4 hangs r3 on line north at 36, for which r1 makes way: allowed is after step 3"
    ]


def test_a_wait_for_a_clip_s_room_must_be_told():
    assert step(ring(), 6, after=()).says() == [
        "after: step 6 hangs s2 on line south at 28.5, for which s1 makes way: allowed is after step 5"
    ]


def test_a_wait_by_way_of_another_is_enough():
    # 4 waits for 3, which waits for 2, which waits for 1
    assert step(ring(), 3, after=(1, 2)).says() == []


def test_nobody_waits_for_a_later_step_or_for_none():
    for number in (2, 9):
        assert step(ring(), 1, after=(number,)).says() == [
            f"after: step 1 is to be done after step {number}: allowed are steps that come before it"
        ]


# within its time


def test_a_step_is_not_earlier_than_the_one_it_waits_for():
    # s2 is firm on 3 July; step 5 would only begin on the 4th
    late = step(ring(), 5, not_before=datetime(2027, 7, 4))
    assert late.says() == [
        "time: step 6, s2: not before 2027-07-03 00:00: allowed is from 2027-07-04 00:00, "
        "as it comes after step 5"
    ]


def test_a_step_is_not_later_than_those_that_wait_for_it():
    early = step(ring(), 6, not_after=datetime(2027, 7, 7))
    assert early.says() == [
        "time: step 5, s1: not after 2027-07-08 12:00: allowed is until 2027-07-07 00:00, "
        "as step 6 comes after it"
    ]


def test_one_after_another_there_is_time_for_all():
    # Step 4 begins on 9 July; steps 5 and 6 may then be too late, though each could be done in time alone.
    late = step(ring(), 4, not_before=datetime(2027, 7, 9))
    assert late.says() == [
        "time: step 5, s1: not after 2027-07-08 12:00: allowed is 2027-07-09 00:00 or later, "
        "as step 4 comes before it"
    ]


# from where it is


def test_each_step_begins_where_the_one_before_ended():
    assert step(ring(), 3, from_spot="40").says() == [
        "moves: step 3 moves r1 from north at 40: allowed is from north at 36, where step 1 hung it"
    ]


def test_the_first_step_begins_where_the_pupa_is_recorded():
    assert step(ring(), 2, from_spot="24").says() == [
        "moves: step 2 moves r2 from line north at 24: allowed is from line north at 20, where it is recorded"
    ]


def test_the_last_step_ends_where_the_pupa_hangs():
    says = step(ring(), 3, to_spot="24").says()
    assert says[0] == (
        "moves: step 3 moves r1 from north to north at 24: allowed is from north to north at 20, as it hangs"
    )


# parked


def test_who_is_parked_goes_on_within_the_same_times():
    short = step(ring(), 1, not_before=datetime(2027, 6, 29))
    assert short.says() == [
        "park: step 1 parks r1, step 3 takes it on, between other times: "
        "allowed are the same, for it is parked for minutes only"
    ]


def parked_at(place, spot):
    return step(step(ring(), 1, to_place=place, to_spot=spot), 3, from_place=place, from_spot=spot)


def test_a_pupa_is_parked_on_a_spot_not_on_a_lid():
    assert parked_at("tub-2", "1,1").says() == [
        "park: r1 is moved to lid tub-2: allowed are lines and boards"
    ]


def test_a_pupa_is_parked_on_a_mark():
    assert parked_at("north", "37").says()[0] == (
        "park: r1 on line north: no clip is at 37 cm: allowed are multiples of 4 cm"
    )


def test_a_pupa_is_parked_within_reach_and_with_clearance():
    low = parked_at("south", "10").place("south", height=180)
    assert low.set(highest=170, pupae=ring().season.pupae).says()[-1] == (
        "park: r1 on line south at 10 hangs 180 cm high: allowed is 40 cm to 170 cm"
    )


# given up


def test_who_is_said_to_be_stuck_stays():
    assert ring().claim(stuck=(Stuck(pupa="r1", why="no spot is free"),)).says() == [
        "stuck: r1 is under stuck: allowed are only those who stay where they are"
    ]


def test_those_touched_are_counted_as_pupae_not_as_steps():
    # five pupae in six steps
    assert ring().says() == []
    assert len(ring().plan.moves) == 6
    assert ring().plan.movers == ("r1", "r2", "r3", "s1", "s2")
    assert ring().plan.goes_on == {1: 3}


def test_a_pupa_from_a_lid_may_be_parked_too():
    world = ring()
    moves = (
        *world.plan.moves[:4],
        *(replace(m, step=m.step + 1, after=tuple(a + 1 for a in m.after)) for m in world.plan.moves[4:]),
    )
    via = (
        *moves[:3],
        move(4, "r3", ("tub-2", "5,5"), ("north", "52"), LATER),
        move(5, "r3", ("north", "52"), ("north", "36"), LATER, (3, 4)),
        *moves[4:],
    )
    assert world.claim(moves=via).says() == []
    assert RING[1] < LATER[1]
