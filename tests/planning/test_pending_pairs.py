"""A pair of which one is soft, or left on its lid, only waits: it is no clash, and nobody is moved for it."""

from dataclasses import replace

from season_world import level, line, plan_of, pupa, season, tub

from planner.season import When


def at(text):
    return When.parse(f"2027-07-{text}:00")


def beside_a_soft_one():
    """One mark. f hangs beside a soft one, and only waits; a and b, on another lid, clash."""
    return season(
        [tub("t1"), tub("t2"), line(marks=1)],
        [
            pupa("f", at("08T10"), "t1", x=1, y=1),
            pupa("s", at("08T14"), "t1", x=2, y=1),
            pupa("a", at("05T00"), "t2", x=1, y=1),
            pupa("b", at("06T12"), "t2", x=2, y=1),
        ],
    )


def test_the_only_spot_goes_to_one_that_clashes_not_to_one_that_waits():
    plan = plan_of(beside_a_soft_one())
    assert [move.pupa for move in plan.moves] in (["a"], ["b"])
    assert plan.clashes == ()
    assert [(pair.a, pair.b) for pair in plan.waiting] == [("f", "s")]
    assert (level(plan, "clashes").value, level(plan, "clashes").proved) == (0, True)


def test_where_there_is_room_for_both_those_that_wait_are_parted_too():
    case = beside_a_soft_one()
    plan = plan_of(replace(case, places=(*case.places[:2], line(marks=3))))
    assert sorted(move.pupa for move in plan.moves) in (["a", "f"], ["b", "f"])
    assert plan.waiting == ()


def test_who_waits_on_a_lid_under_a_line_clashes_with_nobody_hung_there():
    # The only mark is within reach of both: whoever is hung there is beside the other, who waits or stays.
    over = line(marks=1, left=0, front=12)
    lid = tub(left=0, front=0, height=145)
    case = season([over, lid], [pupa("a", 5, x=4, y=18), pupa("b", 5, x=6, y=18)], drop=20.0)
    plan = plan_of(case, evenings=2)
    assert sorted(w.pupa for w in plan.waits) == ["a", "b"]
    assert plan.clashes == ()
    assert (level(plan, "clashes").value, level(plan, "clashes").bound) == (0, 0)


def test_two_soft_ones_told_to_stay_clash_now_for_neither_will_ever_be_moved():
    stay = [pupa("a", at("08T14"), x=1, y=1, stay=True), pupa("b", at("08T14"), x=2, y=1, stay=True)]
    plan = plan_of(season([tub(), line()], stay))
    assert plan.waiting == ()
    assert [(pair.a, pair.b) for pair in plan.clashes] == [("a", "b")]
    # One that may be moved once it is firm is enough for the pair to end by itself.
    plan = plan_of(season([tub(), line()], [stay[0], replace(stay[1], stay=False)]))
    assert plan.clashes == ()
    assert [(pair.a, pair.b) for pair in plan.waiting] == [("a", "b")]


def test_a_spot_is_not_kept_for_a_soft_one_told_to_stay():
    case = season([tub(clear=True), line()], [pupa("a", at("08T14"), x=1, y=1, stay=True)])
    assert plan_of(case).kept == ()


def test_a_soft_one_that_hangs_on_a_line_clashes_now_for_no_plan_moves_it_by_itself():
    # Both pupated on the line itself, 4 cm apart, an evening before the plan.
    on_line = [pupa("a", 8, "n", spot="4"), pupa("b", 8, "n", spot="8")]
    plan = plan_of(season([line()], on_line))
    assert ([(pair.a, pair.b) for pair in plan.clashes], plan.waiting) == ([("a", "b")], ())
    # One still on a lid is taken away from under the line as soon as it is firm: such a pair ends by itself.
    over, lid = line(marks=3, left=0, front=12), tub(left=0, front=0, height=145)
    case = season([over, lid], [pupa("a", 8, "n", spot="4"), pupa("b", 8, x=4, y=18)], drop=20.0)
    plan = plan_of(case)
    assert (plan.clashes, [(pair.a, pair.b) for pair in plan.waiting]) == ((), [("a", "b")])
