"""A step that is to be done as it was keeps its number; a number that no longer holds is given to nobody."""

from datetime import datetime, timedelta

from planner.planning.moves.step_numbers import numbered_on
from planner.season.plan.plan_record import Hang, Move, Plan

ON = datetime(2027, 7, 12, 21)


def move(step, pupa, to, *after, start="tub", place="tub", firm=ON, dark=ON + timedelta(days=3)):
    return Move(
        step=step, pupa=pupa, from_place=place, from_spot=start, to_place="north", to_spot=to,
        not_before=firm, not_after=dark, after=after,
    )  # fmt: skip


def plan(*moves, stay=(), void=()):
    hangs = {m.pupa: Hang(pupa=m.pupa, place="north", spot=m.to_spot, from_place="tub") for m in moves}
    hangs |= {pupa: Hang(pupa=pupa, place="north", spot=spot) for pupa, spot in stay}
    return Plan(on=ON, gap_days=2, hangs=tuple(hangs.values()), moves=moves, void=void)


def steps(plan):
    return [(m.step, m.pupa, m.after) for m in plan.moves]


PRINTED = plan(move(1, "a", "4"), move(2, "b", "8"), move(3, "c", "12"))


def test_what_is_left_keeps_its_numbers_and_nothing_is_void():
    again = numbered_on(plan(move(1, "c", "12"), move(2, "b", "8"), stay=[("a", "4")]), PRINTED)
    assert (steps(again), again.void) == ([(2, "b", ()), (3, "c", ())], ())


def test_who_goes_elsewhere_has_a_new_number_and_the_old_one_is_void_from_then_on():
    once = numbered_on(plan(move(1, "c", "12"), move(2, "b", "16"), stay=[("a", "4")]), PRINTED)
    assert (steps(once), once.void) == ([(3, "c", ()), (4, "b", ())], (2,))
    # b is told its first spot again: step 2 was taken back, and stays so.
    twice = numbered_on(plan(move(1, "b", "8"), move(2, "c", "12"), stay=[("a", "4")]), once)
    assert (steps(twice), twice.void) == ([(3, "c", ()), (5, "b", ())], (2, 4))


def test_who_was_hung_elsewhere_or_stays_now_leaves_a_void_number_and_who_is_gone_leaves_none():
    again = numbered_on(plan(move(1, "c", "12"), stay=[("a", "20")]), PRINTED)
    assert (steps(again), again.void) == ([(3, "c", ())], (1,))


def test_once_all_is_done_numbers_begin_at_one():
    done = [("a", "4"), ("b", "8"), ("c", "12")]
    again = numbered_on(plan(move(1, "d", "20"), stay=done), plan(*PRINTED.moves, void=(9,)))
    assert (steps(again), again.void) == ([(1, "d", ())], ())
    first = plan(move(1, "d", "20"))
    assert numbered_on(first, None) == first


def test_a_step_that_must_come_after_a_new_one_is_a_new_one_itself():
    # h makes way for b.
    again = numbered_on(
        plan(move(1, "h", "40", place="north", start="8"), move(2, "b", "8", 1), move(3, "c", "12"),
             stay=[("a", "4")]),
        PRINTED,
    )  # fmt: skip
    assert steps(again) == [(3, "c", ()), (4, "h", ()), (5, "b", (4,))]
    assert again.void == (2,)


def test_one_that_is_parked_keeps_both_numbers_or_neither():
    park = move(1, "a", "40", place="north", start="4"), move(2, "b", "4", 1, place="north", start="8")
    on = move(3, "a", "8", 1, 2, place="north", start="40")
    before = plan(*park, on)
    assert steps(numbered_on(plan(*park, on), before)) == steps(before)
    # b goes elsewhere: a's second step comes after a new one, so its first has a new number too.
    other = move(2, "b", "20", 1, place="north", start="8")
    assert steps(numbered_on(plan(park[0], other, on), before)) == [
        (4, "a", ()),
        (5, "b", (4,)),
        (6, "a", (4, 5)),
    ]


def test_where_a_step_kept_begins_only_after_a_new_one_ends_all_are_new():
    firm = ON + timedelta(days=1)
    before = plan(move(1, "a", "4", firm=firm))
    urgent = move(1, "b", "8", dark=firm - timedelta(hours=1))
    again = numbered_on(plan(urgent, move(2, "a", "4", firm=firm)), before)
    assert (steps(again), again.void) == ([(2, "b", ()), (3, "a", ())], (1,))
