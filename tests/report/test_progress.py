"""What is left of a plan. The season is that of room_world: pupated 1 July means firm from 3 July 00:00, dark
from 10 July 12:00, due on the 11th."""

from dataclasses import replace
from datetime import date, datetime, timedelta

from room_world import NOW, pupa, season

from planner.follow.progress import Progress
from planner.season import Hang, Line, Move, Plan, TooClose, When
from planner.verify import verify

FIRM, DARK = datetime(2027, 7, 3), datetime(2027, 7, 10, 12)
DUE = date(2027, 7, 11)
LONG = Line(name="north", length=60, height=150, clips_every=4)


def porch(*pupae):
    found = season(*pupae)
    return replace(found, places=(LONG, *found.places[1:]))


def lid(name, pupated="2027-07-01", x=5.0, y=5.0, **more):
    return pupa(name, pupated, "tub-2", x=x, y=y, **more)


def move(step, name, source, spot, place, to, *after, start=FIRM, end=DARK):
    return Move(step=step, pupa=name, from_place=source, from_spot=spot, to_place=place, to_spot=to,
                not_before=start, not_after=end, after=after)  # fmt: skip


def hang(name, spot, source=None, due=DUE):
    return Hang(pupa=name, place="north", spot=spot, x=float(spot), y=0, due=due, from_place=source)


def stays(name, x=5.0, y=5.0, due=DUE):
    return Hang(pupa=name, place="tub-2", spot=f"{x:g},{y:g}", x=x, y=y, due=due)


BOTH = Plan(
    on=NOW,
    gap_days=2,
    hangs=(hang("m1", "4", "tub-2"), hang("m2", "40", "tub-2"), stays("m3", 30, 20)),
    moves=(
        move(1, "m1", "tub-2", "5,5", "north", "4"),
        move(2, "m2", "tub-2", "8,5", "north", "40"),
    ),
)  # fmt: skip
THREE = lid("m1"), lid("m2", x=8), lid("m3", x=30, y=20)


def test_of_a_plan_not_begun_everything_is_left():
    found = Progress(porch(*THREE), BOTH)
    assert (found.rest.hangs, found.rest.moves, list(found.words())) == (BOTH.hangs, BOTH.moves, [])


def test_one_moved_stays_in_the_plan_but_has_no_step_left():
    found = Progress(porch(pupa("m1", "2027-07-01", spot="4"), *THREE[1:]), BOTH)
    assert [m.step for m in found.done] == [1]
    assert [m.step for m in found.rest.moves] == [2]
    assert found.rest.hangs[0] == hang("m1", "4")
    assert list(found.words()) == ["1 of 2 moves done"]


def test_one_gone_takes_its_step_and_its_pairs_along():
    gone = lid("m1", outcome="failed", ended=When.parse("2027-07-05"))
    pair = TooClose(a="m1", b="m3", gap=0, distance=3)
    found = Progress(porch(gone, *THREE[1:]), replace(BOTH, clashes=(pair,)))
    assert (found.gone, [m.pupa for m in found.rest.moves], found.rest.clashes) == (["m1"], ["m2"], ())
    assert [h.pupa for h in found.rest.hangs] == ["m2", "m3"]


def test_whose_row_is_not_in_the_file_any_more_is_told_apart_from_who_has_emerged():
    found = Progress(porch(replace(THREE[0], outcome="emerged"), THREE[1]), BOTH)
    assert list(found.words()) == ["gone: m1", "not in pupae.csv any more: m3"]


def test_a_newcomer_stays_where_it_is():
    found = Progress(porch(*THREE, lid("m4", "2027-07-04", x=20)), BOTH)
    assert found.newcomers == ["m4"]
    # Pupated noon of the 4th plus ten days.
    assert found.rest.hangs[-1] == stays("m4", 20, due=date(2027, 7, 14))


def test_one_hung_elsewhere_keeps_its_spot_and_has_no_step():
    found = Progress(porch(pupa("m1", "2027-07-01", spot="52"), *THREE[1:]), BOTH)
    assert found.elsewhere == ["m1"]
    assert [m.pupa for m in found.rest.moves] == ["m2"]
    assert found.rest.hangs[-1] == hang("m1", "52")
    assert list(found.words()) == ["hung elsewhere than planned: m1 at north 52 cm"]


def test_one_that_stays_on_its_lid_but_was_measured_since_counts_where_it_is():
    found = Progress(porch(*THREE[:2], lid("m3", x=31, y=20)), BOTH)
    assert found.elsewhere == ["m3"]
    assert found.rest.hangs[-1] == stays("m3", 31, 20)
    assert verify(found.season, found.rest) == []


def test_one_to_be_moved_may_be_measured_without_losing_its_step():
    found = Progress(porch(lid("m1", x=6), *THREE[1:]), BOTH)
    assert (found.elsewhere, found.rest.moves) == ([], BOTH.moves)


def test_a_date_changed_since_changes_the_due_day_and_the_hours_of_the_step():
    found = Progress(porch(lid("m1", "2027-07-02"), *THREE[1:]), BOTH)
    assert found.redated == ["m1"]
    # A day later: firm from 4 July 00:00, due on the 12th, and darkening a day later too.
    assert found.rest.hangs[0].due == date(2027, 7, 12)
    assert found.rest.moves[0].not_before == FIRM + timedelta(days=1)
    assert found.rest.moves[0].not_after == DARK + timedelta(days=1)
    assert list(found.words()) == ["due on another day than planned: m1"]


# m1 and m2 change places on north, by way of 40 cm; m3 waits for nobody.
RING = Plan(
    on=NOW,
    gap_days=2,
    hangs=(hang("m1", "20", "north"), hang("m2", "4", "north")),
    moves=(
        move(1, "m1", "north", "4", "north", "40"),
        move(2, "m2", "north", "20", "north", "4", 1),
        move(3, "m1", "north", "40", "north", "20", 2),
    ),
    settings={"rehang_price": 3},
)


def ring(first="2027-07-01", second="2027-07-01"):
    return porch(pupa("m1", first, spot="4"), pupa("m2", second, spot="20"))


def hours(plan):
    return [(m.not_before, m.not_after) for m in plan.moves]


def test_one_parked_is_parked_and_taken_on_between_the_same_times_when_the_other_is_dated_later():
    found = Progress(ring(second="2027-07-02"), RING)
    # m2 is firm from the 4th: so step 3 is not before that, hence step 1, which parks for step 3, neither.
    assert hours(found.rest) == [(FIRM + timedelta(days=1), DARK)] * 3
    assert verify(found.season, found.rest) == []


def test_one_parked_is_parked_and_taken_on_between_the_same_times_when_the_other_darkens_earlier():
    found = Progress(ring(second="2027-06-30"), RING)
    # m2 may be darkening from 9 July 12:00: so step 1 ends by then, and with it step 3.
    assert hours(found.rest) == [(FIRM, DARK - timedelta(days=1))] * 3
    assert verify(found.season, found.rest) == []


def test_a_step_is_no_longer_bound_by_one_that_was_done():
    after = replace(
        BOTH, moves=(BOTH.moves[0], replace(BOTH.moves[1], not_after=DARK - timedelta(days=1), after=(1,)))
    )
    found = Progress(porch(pupa("m1", "2027-07-01", spot="4"), *THREE[1:]), after)
    # The step that came after another which is done: from the day of m2 alone.
    assert hours(found.rest) == [(FIRM, DARK)]


def test_once_it_is_parked_only_the_way_on_is_left():
    found = Progress(porch(pupa("m1", "2027-07-01", spot="40"), pupa("m2", "2027-07-01", spot="20")), RING)
    assert [(m.step, m.after) for m in found.rest.moves] == [(2, ()), (3, (2,))]
