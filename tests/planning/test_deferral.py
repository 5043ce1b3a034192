"""Some are left on their lids for a day where there is no spot for all: the fewest, and only who can wait."""

from datetime import date, timedelta

from season_world import ON, level, line, plan_of, pupa, season, tub

from planner.season import When

TOMORROW = ON + timedelta(days=1)


def four_of_one_date(**tubs):
    # Marks 4, 8, 12, 16, two neighbours either side: 4 and 16 hold two of one date, no more.
    return season([tub(**tubs), line(marks=4)], [pupa(name, 4) for name in "abcd"])


def test_nobody_waits_unless_it_is_asked_for():
    plan = plan_of(four_of_one_date(clear=True))
    assert plan.waits == ()
    assert len(plan.movers) == 4
    assert len(plan.clashes) == 5  # all pairs but that of 4 and 16, which are 12 cm apart


def test_two_of_four_wait_where_two_find_room():
    plan = plan_of(four_of_one_date(clear=True), evenings=2)
    # Who of one date hangs on which of the two is a tie.
    assert {h.spot for h in plan.hangs if h.place == "n"} == {"4", "16"}
    assert {w.until for w in plan.waits} == {TOMORROW}
    assert len(plan.waits) == 2
    assert plan.clashes == ()
    # Firm since 6 July, 0:00: this is the fourth evening for each.
    assert (level(plan, "waiting").value, level(plan, "waiting").proved) == (8, True)
    assert (level(plan, "clashes").value, level(plan, "clashes").proved) == (0, True)


def test_they_are_told_as_left_where_the_tub_is_needed():
    plan = plan_of(four_of_one_date(clear=True), evenings=2)
    assert plan.left == tuple(w.pupa for w in plan.waits)


def test_pairs_on_the_lid_wait_for_the_day_on_which_they_part():
    plan = plan_of(four_of_one_date(), evenings=2)
    (pair,) = plan.waiting
    assert {pair.a, pair.b} == {w.pupa for w in plan.waits}
    assert pair.why == "waits on its lid for a spot until Sat 10 Jul 12:00"


def test_nobody_waits_while_there_is_room_for_all():
    plan = plan_of(season([tub(clear=True), line(marks=10)], [pupa("a", 4), pupa("b", 4)]), evenings=2)
    assert (plan.waits, plan.left) == ((), ())
    assert "waiting" not in [x.name for x in plan.proof]


def test_one_alone_on_its_lid_stays_and_does_not_wait():
    # a and b clash on the tub, whose pupae were not measured: one of them stays for good, the other hangs.
    plan = plan_of(season([tub(), line(marks=1)], [pupa("a", 4), pupa("b", 4)]), evenings=2)
    assert (len(plan.movers), plan.waits, plan.waiting) == (1, (), ())


def test_who_may_soon_be_darkening_does_not_wait():
    # Pupated on 30 June, it is due on 11 July: tomorrow it may be darkening.
    old, young = pupa("old", day_of_june(30)), pupa("young", 7)
    plan = plan_of(season([tub(clear=True), line(marks=1)], [old, young]), evenings=2)
    assert [w.pupa for w in plan.waits] == ["young"]
    assert plan.movers == ("old",)


def test_where_nobody_who_clashes_can_wait_the_fewest_clashes_are_left():
    both = [pupa("a", day_of_june(30)), pupa("b", day_of_june(30)), pupa("c", 7)]
    plan = plan_of(season([tub(clear=True), line(marks=2)], both), evenings=2)
    assert len(plan.clashes) == 1
    assert (level(plan, "clashes").bound, level(plan, "clashes").proved) == (1, True)
    assert [w.pupa for w in plan.waits] == ["c"]


def test_room_is_looked_for_for_who_waits_as_for_the_soft():
    # Nothing comes free by tomorrow: there is no spot away from those who hang by then.
    plan = plan_of(four_of_one_date(clear=True), evenings=2)
    assert (level(plan, "room").value, level(plan, "room").proved) == (2, True)


def day_of_june(number):
    return When(date(2027, 6, number))
