"""The verifier's rules about moves: for each, a plan that keeps it, one that breaks it, one on its edge."""

from dataclasses import replace
from datetime import datetime

import pytest
from verify_world import World, good

from planner.season.reading.when import When


def touched(world: World) -> list[str]:
    return [line for line in world.says() if line.startswith("touch")]


def taken(world: World, name: str) -> World:
    """Move somebody to the free mark at 44 cm, with a move that fits in time as far as can be."""
    there = world.hang(name, place="north", spot="44", x=44, y=0, from_place=world.season.pupa[name].place)
    move = replace(
        world.plan.moves[0], step=12, pupa=name, from_place=world.season.pupa[name].place, to_spot="44"
    )
    return there.claim(moves=(*world.plan.moves, move), waiting=(), left=("l1", "p1"), proof=())


# who may not be touched


def test_a_firm_pupa_may_be_moved():
    # b3, pupated 3 July, is firm from 5 July 00:00; the plan is of 08:00
    assert touched(good()) == []


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("c1", "c1 is soft until 2027-07-06 00:00: allowed is lid tub-2, not line north at 44"),
        ("d1", "d1 may be darkening on 2027-07-05 08:00: allowed is lid tub-2, not line north at 44"),
        ("p1", "p1 is a prepupa on 2027-07-05 08:00: allowed is lid tub-3, not line north at 44"),
        ("h1", "h1 hangs already: allowed is line north at 30.3, not line north at 44"),
    ],
)
def test_who_may_not_be_touched_is_not_moved(name, said):
    assert touched(taken(good(), name)) == [f"touch: {said}"]


def test_whom_the_keeper_wants_left_is_left():
    assert good().pupa("a1", stay=True).says() == [
        "touch: a1 is recorded to stay: allowed is lid tub-2, not line north at 4"
    ]


def test_who_was_seen_darkening_is_not_moved():
    assert touched(good().pupa("a1", darkening=When.parse("2027-07-05T07:30"))) == [
        "touch: a1 may be darkening on 2027-07-05 08:00: allowed is lid tub-2, not line north at 4"
    ]


def test_a_pupa_is_firm_at_the_very_hour():
    # c1 is firm from 6 July 00:00
    a_minute_early = good().claim(on=datetime(2027, 7, 5, 23, 59))
    assert touched(taken(a_minute_early, "c1")) == [
        "touch: c1 is soft until 2027-07-06 00:00: allowed is lid tub-2, not line north at 44"
    ]
    assert touched(taken(good().claim(on=datetime(2027, 7, 6)), "c1")) == []


def test_a_soft_pupa_moved_without_saying_so_is_found():
    assert good().hang("l1", place="north", spot="44", x=44, y=0).claim(left=("p1",)).says() == [
        "touch: l1 is soft until 2027-07-06 00:00: allowed is lid tub-3, not line north at 44",
        "from: l1 hangs on line north at 44 without a from: allowed is lid tub-3, or a move from there",
    ]


# from where


def test_a_wrong_source_is_told():
    assert good().hang("a1", from_place="tub-3").move("a1", from_place="tub-3").says() == [
        "from: a1 has from tub-3: allowed is where it is recorded, lid tub-2"
    ]


def test_a_firm_pupa_elsewhere_without_a_from_is_told():
    says = good().hang("a1", from_place=None).says()
    assert says == [
        "from: a1 hangs on line north at 4 without a from: allowed is lid tub-2, or a move from there",
        "moves: step 1 moves a1 from tub-2 to north at 4, but nothing hangs it there with a from: "
        "allowed is no move",
    ]


def test_who_stays_has_no_from():
    assert good().hang("d1", from_place="tub-2").says() == [
        "from: d1 has from tub-2 but hangs where it is recorded: allowed is no from",
        "moves: d1 hangs on tub-2 at ? with a from but no move: allowed is one",
    ]


def test_a_hung_pupa_a_twentieth_of_a_millimetre_off_is_where_it_was():
    assert good().hang("h1", spot="30.304", x=30.304).says() == []
    further = good().hang("h1", spot="30.31", x=30.31).says()
    assert [line for line in further if line.startswith("from")] == [
        "from: h1 hangs on line north at 30.31 without a from: "
        "allowed is line north at 30.3, or a move from there"
    ]


# moves and hangs say the same


def test_a_pupa_without_its_move_is_told():
    world = good()
    assert world.claim(moves=world.plan.moves[:-1], proof=()).says() == [
        "moves: e2 hangs on north at 52 with a from but no move: allowed is one"
    ]


def test_a_pupa_moved_twice_is_told():
    world = good()
    again = replace(world.plan.moves[0], step=12)
    assert world.claim(moves=(*world.plan.moves, again), proof=()).says() == [
        "moves: step 12 moves a1 from tub-2 at ?: allowed is from north at 4, where step 1 hung it",
        "after: step 12 takes a1 on: allowed is after step 1",
    ]


def test_a_move_to_another_spot_than_the_plans_is_told():
    assert good().move("a1", to_spot="44").says() == [
        "moves: step 1 moves a1 from tub-2 to north at 44: allowed is from tub-2 to north at 4, as it hangs"
    ]


def test_a_number_is_given_once_and_none_that_stands_for_another_step_on_earlier_lists():
    assert good().move("e2", step=10).says()[0] == (
        "moves: the steps are numbered 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 10: "
        "allowed is each number from 1 on once"
    )
    later = good().move("e2", step=12)
    assert later.says() == []
    assert later.claim(void=(12, 13)).says() == [
        "moves: step 12 is void: allowed is a number that no earlier list has"
    ]


def test_a_plan_without_moves_needs_no_steps():
    world = good()
    for name in [move.pupa for move in world.plan.moves]:
        hang = next(hang for hang in world.plan.hangs if hang.pupa == name)
        world = world.pupa(name, place=hang.place, spot=hang.spot, x=None, y=None).hang(name, from_place=None)
    assert world.claim(moves=(), proof=()).says() == []


# in time


def test_a_move_before_the_pupa_is_firm_is_told():
    assert good().move("b3", not_before=datetime(2027, 7, 4, 23, 59)).says() == [
        "time: step 7, b3: not before 2027-07-04 23:59: allowed is from 2027-07-05 00:00, when it is firm"
    ]


def test_a_move_when_the_pupa_may_be_darkening_is_told():
    # due 7 July 12:00, and darkening may show 24 h before
    assert good().move("a1", not_after=datetime(2027, 7, 6, 12, 1)).says() == [
        "time: step 1, a1: not after 2027-07-06 12:01: "
        "allowed is until 2027-07-06 12:00, when it may be darkening"
    ]


def test_a_move_that_is_over_before_it_starts_is_told():
    assert good().move(
        "a1", not_before=datetime(2027, 7, 6, 9), not_after=datetime(2027, 7, 6, 8)
    ).says() == ["time: step 1, a1: not after 2027-07-06 08:00: allowed is 2027-07-06 09:00 or later"]


def test_a_move_can_still_be_done_when_it_is_planned():
    assert good().move("a1", not_after=datetime(2027, 7, 5, 8)).says() == []
    assert good().move("a1", not_after=datetime(2027, 7, 5, 7, 59)).says() == [
        "time: step 1, a1: not after 2027-07-05 07:59: allowed is 2027-07-05 08:00 or later"
    ]


def test_a_pupa_too_cold_to_have_a_due_day_may_be_moved_for_a_year():
    world = good().set(constant=9.0)  # below the threshold of 10 °C: nobody develops
    for pupa in world.season.pupae:
        world = world.hang(pupa.id, due=None)
    moves = tuple(replace(move, not_after=datetime(2028, 7, 4, 8)) for move in world.plan.moves)
    world = world.claim(moves=moves, proof=())  # 365 days after 5 July 2027, 08:00, over a leap day
    assert [text for text in world.says() if text.startswith("time")] == []
    late = world.move("a1", not_after=datetime(2028, 7, 4, 9)).says()
    assert [text for text in late if text.startswith("time: step 1, a1: not after")] == [
        "time: step 1, a1: not after 2028-07-04 09:00: allowed is until 2028-07-04 08:00, "
        "a year after the plan"
    ]


# in an order that works


def test_the_order_of_moves_to_free_spots_does_not_matter():
    world = good()
    turned = tuple(replace(move, step=12 - move.step) for move in world.plan.moves)
    assert world.claim(moves=turned).says() == []


def test_a_step_onto_a_spot_still_taken_is_told():
    # h1 hangs at 30.3 cm
    says = good().to("a1", "north", "30.3", 30.3).says()
    assert (
        "order: step 1 hangs a1 on line north at 30.3, where h1 still hangs: allowed is a free spot" in says
    )


def test_a_spot_left_in_an_earlier_step_is_free():
    # h1 must not be moved at all; but a1 may take its spot after it left, and not before
    leaves = taken(good(), "h1").to("a1", "north", "30.3", 30.3)
    assert [line for line in leaves.says() if line.startswith("order")] == [
        "order: step 1 hangs a1 on line north at 30.3, where h1 still hangs: allowed is a free spot"
    ]
    first = leaves.move("h1", step=1).move("a1", step=12)
    assert [line for line in first.says() if line.startswith("order")] == []


def test_the_spot_of_a_pupa_that_is_gone_is_free():
    gone = good().pupa("h1", outcome="emerged", ended=When.parse("2027-07-04"))
    hangs = tuple(hang for hang in gone.plan.hangs if hang.pupa != "h1")
    line = gone.claim(hangs=hangs).place("north", clips_every=None, clip_width=3)
    assert line.to("a1", "north", "30.5", 30.5).says() == []
