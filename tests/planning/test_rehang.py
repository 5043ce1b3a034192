"""Pupae that hang already are moved only when that is asked for, and only where it leaves fewer clashes."""

from season_world import ON, level, line, plan_of, pupa, season, tub

from planner.emergence import forecasts
from planner.report.texts.summary import summary
from planner.season import Line


def in_the_way(**settings):
    """Three marks out of reach of their next but two. a hangs in the middle of five; b and c are of its date.

    Wherever b hangs it is within reach of mark 3; with a on mark 1 or 5 there is room for one more.
    """
    return season([tub(clear=True), line(marks=5)], [pupa("a", 5, "n", spot="12"), pupa("b", 5)], **settings)


def test_who_hangs_is_not_moved_unasked():
    plan = plan_of(in_the_way())
    assert [m.pupa for m in plan.moves] == ["b"]
    assert len(plan.clashes) == 1


def test_re_hanging_one_leaves_no_clash_and_says_what_it_buys():
    plan = plan_of(in_the_way(), rehang=True)
    assert sorted(m.pupa for m in plan.moves) == ["a", "b"]
    assert plan.clashes == ()
    assert plan.settings["clashes_without_rehang"] == 1
    told = str(summary(in_the_way(), plan, forecasts(in_the_way(), ON)))
    assert "a is hung again, counted as 3 moves from a lid: no clash is left instead of 1." in told


def test_the_price_of_re_hanging_is_counted():
    # b must leave the lid: 1. a is re-hung: 3, or what season.yaml says.
    assert level(plan_of(in_the_way(), rehang=True), "handling").value == 4
    assert level(plan_of(in_the_way(rehang_price=5), rehang=True), "handling").value == 6


def test_nobody_is_re_hung_where_that_buys_nothing():
    case = season([tub(clear=True), line(marks=9)], [pupa("a", 5, "n", spot="12"), pupa("b", 5)])
    plan = plan_of(case, rehang=True)
    assert [m.pupa for m in plan.moves] == ["b"]
    assert "rehang_price" not in plan.settings


def test_of_two_that_hang_side_by_side_one_is_moved_and_nobody_on_the_lid():
    # a hangs beside e, of its date: one of them must go, at a price of 3. b clashes with nobody.
    case = season(
        [tub(), line(marks=7)],
        [pupa("a", 5, "n", spot="12"), pupa("e", 5, "n", spot="16"), pupa("b", 1)],
    )
    plan = plan_of(case, rehang=True)
    assert len(plan.moves) == 1
    assert plan.moves[0].pupa in "ae"
    assert (level(plan, "handling").value, level(plan, "handling").proved) == (3, True)


def test_two_pairs_are_parted_by_moving_two():
    # a and b, a day apart, share a line of two marks, c and d another; each pair can use the other's spot.
    case = season(
        [tub(), line("n", marks=2), line("s", marks=2), line("spare", marks=1)],
        [
            pupa("a", 2, "n", spot="4"),
            pupa("b", 3, "n", spot="8"),
            pupa("c", 6, "s", spot="4"),
            pupa("d", 7, "s", spot="8"),
        ],
    )
    plan = plan_of(case, rehang=True)
    assert plan.clashes == ()
    assert len({m.pupa for m in plan.moves}) == 2
    assert plan.settings["clashes_without_rehang"] == 2


def test_soft_darkening_and_pinned_ones_stay_even_then():
    # a is to stay, so b beside it must clash.
    case = season([tub(clear=True), line(marks=5)], [pupa("a", 5, "n", spot="12", stay=True), pupa("b", 5)])
    plan = plan_of(case, rehang=True)
    assert [m.pupa for m in plan.moves] == ["b"]
    assert len(plan.clashes) == 1


def test_who_hangs_between_marks_leaves_them_their_room():
    # a hangs at 14, between the marks 12 and 16: neither is open while it stays.
    case = season([tub(clear=True), line(marks=4)], [pupa("a", 5, "n", spot="14"), pupa("b", 5)])
    plan = plan_of(case, rehang=True)
    assert plan.clashes == ()


def test_what_was_not_searched_for_is_not_called_impossible():
    case = season([tub(), line(marks=4)], [pupa("c", 4, "n", spot="4"), pupa("d", 4, "n", spot="8")])
    assert plan_of(case, rehang=True).clashes == ()
    hurried = plan_of(case, rehang=True, seconds=1e-9)
    clashes = level(hurried, "clashes")
    assert (clashes.value, clashes.bound, clashes.proved) == (1, 0, False)
    assert "was not found out" in str(summary(case, hurried, forecasts(case, ON)))


def test_where_it_is_proved_that_re_hanging_buys_nothing_that_is_said():
    case = season([tub(), line(marks=2)], [pupa("c", 4, "n", spot="4"), pupa("d", 4, "n", spot="8")])
    plan = plan_of(case, rehang=True)
    assert (level(plan, "clashes").value, level(plan, "clashes").proved) == (1, True)
    assert "would not leave fewer than 1 clash" in str(summary(case, plan, forecasts(case, ON)))


def test_two_that_hang_closer_than_a_clip_is_wide_need_not_be_parted_for_that():
    # a and b hang 2 cm apart on a yarn whose clips are 3 cm wide, and do not clash; c and d do.
    yarn = Line(name="y", length=5, height=150, clip_width=3.0, to_nearest=0.5)
    hung = [pupa("a", 1, "y", spot="1.5"), pupa("b", 7, "y", spot="3.5")]
    clashing = [pupa("c", 4, "n", spot="4"), pupa("d", 4, "n", spot="8")]
    plan = plan_of(season([tub(), yarn, line(marks=4)], [*hung, *clashing]), rehang=True)
    assert plan.clashes == ()
    assert {move.pupa for move in plan.moves} in ({"c"}, {"d"})
    assert (level(plan, "handling").value, level(plan, "handling").proved) == (3, True)


def test_one_may_wait_for_the_spot_of_one_that_could_be_hung_again_and_is_not():
    # Two marks out of reach of one another. When m must hang, h has left its own with a chance of 8 in 10.
    hung = [pupa("h", 3, "n", spot="12"), pupa("k", 4, "n", spot="24")]
    case = season([tub(clear=True), line(marks=6, clips_every=12)], [*hung, pupa("m", 7)])
    plan = plan_of(case, rehang=True, evenings=None)
    assert [(one.who, one.spot, one.chance) for one in plan.hoped] == [("m", "12", 0.84)]
    assert level(plan, "unplaced").value == 0.2
