"""A plan over several evenings: who is hung when firm, who when a spot is free; kept when planning again."""

from dataclasses import replace
from datetime import date, timedelta

from season_world import ON, level, line, plan_of, pupa, season, tub

from planner.season import When
from planner.season.plan import plan_file

DAY = timedelta(days=1)


def one_mark(**more):
    """h hangs on the only mark and is due on 11 July; a, on a lid to be cleared, on the 17th."""
    hung = pupa("h", When(date(2027, 6, 30)), "n", spot="4")
    return season([tub(clear=True), line(marks=1)], [hung, pupa("a", 6)], **more)


def emerged(case, name, day):
    return replace(
        case,
        pupae=tuple(
            replace(p, outcome="emerged", ended=When(date(2027, 7, day))) if p.id == name else p
            for p in case.pupae
        ),
    )


def on(plan):
    """Who is hung when: id → (spot, evenings from now)."""
    return {one.who: (one.spot, (one.since - plan.on) / DAY) for one in plan.later}


def test_by_itself_a_plan_reaches_as_far_as_a_spot_surely_comes_free():
    # On the 11th and 12th h has left its mark with chances of 0.47 and 0.83, on the 13th with 0.96.
    plan = plan_of(one_mark(), evenings=None)
    assert on(plan) == {"a": ("4", 4)}
    assert (level(plan, "unplaced").value, level(plan, "waiting").value) == (0, 5)


def test_over_fewer_evenings_the_likeliest_one_is_hoped_for():
    plan = plan_of(one_mark(), evenings=3)
    assert (on(plan), plan.kept) == ({"a": ("4", 2)}, ())
    assert [one.chance for one in plan.hoped] == [0.47]
    assert level(plan, "unplaced").value == 0.6  # a chance of 4 tenths at least


def test_for_tonight_alone_one_is_left():
    plan = plan_of(one_mark())
    assert (plan.later, plan.waits, plan.left) == ((), (), ("a",))


def test_where_all_can_be_hung_tonight_nothing_is_planned_for_another_evening():
    case = season([tub(clear=True), line(marks=4)], [pupa("a", 6), pupa("b", 6)])
    plan = plan_of(case, evenings=None)
    assert (plan.later, plan.evenings) == ((), 1)
    assert plan == plan_of(case)


def test_one_hung_tonight_that_leaves_in_time_makes_way_for_another():
    # b, due on the 11th, and a: the one mark is b's first.
    case = season([tub(clear=True), line(marks=1)], [pupa("b", When(date(2027, 6, 30))), pupa("a", 6)])
    plan = plan_of(case, evenings=None)
    assert [move.pupa for move in plan.moves] == ["b"]
    assert on(plan) == {"a": ("4", 4)}


def test_a_soft_one_waits_beyond_being_firm_for_a_spot_that_is_free():
    # s, pupated on the 8th, is firm on the 10th; with one that waits planned for, it may come later too.
    case = one_mark()
    soft = pupa("s", When.parse("2027-07-08T20:00"))
    both = replace(case, pupae=(*case.pupae[:1], soft), places=(tub(clear=True), line(marks=1)))
    plan = plan_of(both, evenings=8)
    assert on(plan) == {"s": ("4", 4)}
    assert [one.who for one in plan.kept] == ["s"]


def test_unasked_nobody_waits_where_that_leaves_more_clashes_tonight():
    # Two marks. With a and b on them, of one date, c could be hung when they have left; but they clash.
    # Better one of the two stays behind, alone on the lid.
    early = When(date(2027, 6, 30))
    case = season([tub(clear=True), line(marks=2)], [pupa("a", early), pupa("b", early), pupa("c", 6)])
    plan = plan_of(case, evenings=None)
    assert (plan.clashes, plan.later, len(plan.left)) == ((), (), 1)
    assert plan == plan_of(case)


def test_planned_again_the_same_evening_nothing_changes():
    case = one_mark()
    before = plan_of(case, evenings=None)
    again = plan_of(case, ON + timedelta(hours=1), evenings=None, before=before)
    assert (on(again), again.changed) == (on(before), ())


def test_when_its_evening_has_come_its_spot_is_a_step_of_that_evening():
    case = one_mark()
    before = plan_of(case, evenings=None)
    plan = plan_of(emerged(case, "h", 11), ON + 4 * DAY, evenings=None, before=before)
    assert [(m.pupa, m.to_place, m.to_spot) for m in plan.moves] == [("a", "n", "4")]
    assert (plan.changed, plan.later, plan.left) == ((), (), ())


def test_of_spots_alike_the_one_planned_for_it_is_kept():
    # Marks 4 to 16: two wait for 4 and 16. Told the other way round before, they keep what they were told.
    hung = [pupa(f"h{k}", When(date(2027, 6, 30)), "n", spot=spot) for k, spot in enumerate(("4", "16"))]
    case = season([tub(clear=True), line(marks=4)], [*hung, *(pupa(n, 6) for n in "abcd")])
    before = plan_of(case, evenings=8)
    assert sorted(k.spot for k in before.kept) == ["4", "16"][::-1]
    other = {"4": "16", "16": "4"}
    kept = tuple(replace(k, spot=other[k.spot]) for k in before.kept)
    plan = plan_of(case, evenings=8, before=replace(before, kept=kept))
    assert {k.who: k.spot for k in plan.kept} == {k.who: k.spot for k in kept}


def test_what_is_planned_for_later_evenings_is_read_as_it_was_written():
    plan = plan_of(one_mark(), evenings=None)
    assert plan_file.parse(plan_file.dump(plan)) == plan


def test_a_plan_of_before_without_chances_is_read():
    plan = plan_of(one_mark(), evenings=None)
    text = plan_file.dump(plan).decode()
    old = "".join(
        line.split(", chance")[0] + "}\n" if "chance" in line else line for line in text.splitlines(True)
    )
    (one,) = plan_file.parse(old.encode()).later
    assert (one.who, one.chance, one.latest) == ("a", None, None)
