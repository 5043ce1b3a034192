"""Who has no date may be due on any day: it is given a place, with no neighbour where one exists."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from as_read import as_read
from season_world import ON, day, level, line, plan_of, pupa, season, tub, undated

from planner.emergence import emergences, forecasts, together
from planner.season import Expected, Pupa, Season, When
from planner.verify import verify

# Marks 4 cm apart and a wing reach of 10 cm: the first spot of a line that is no neighbour of 4 is 16.


def spots(plan):
    return {h.pupa: h.spot for h in plan.hangs}


def told(plan, name):
    return level(plan, name).value, level(plan, name).proved


def test_who_has_no_date_is_hung_where_it_has_no_neighbour():
    plan = plan_of(season([line(marks=4), tub(clear=True)], [pupa("m1", 3), undated("u")]))
    assert {spots(plan)["m1"], spots(plan)["u"]} == {"4", "16"}  # all others of 4, 8, 12, 16 are neighbours
    assert (plan.clashes, plan.left, told(plan, "clashes")) == ((), (), (0, True))
    assert {h.pupa: h.due for h in plan.hangs} == {"m1": date(2027, 7, 14), "u": None}


def test_without_such_a_spot_it_has_the_fewest_clashes():
    # On 4, 8, 12, 16 nobody fits between 4 and 16 without two neighbours nearer than 10 cm.
    pupae = [pupa("m1", 1), pupa("m2", 7), undated("u")]
    plan = plan_of(season([line(marks=4), tub(clear=True)], pupae))
    assert told(plan, "clashes") == (1, True)  # m1 and m2, six days apart, hang side by side; u beside one
    ((a, b, gap),) = [(c.a, c.b, c.gap) for c in plan.clashes]
    assert ("u" in (a, b), gap) == (True, 0)


def test_one_mark_more_parts_it_from_all():
    # m1 and m2 at 4 and 8 of a line of five, u at 20: 12 cm from m2.
    pupae = [pupa("m1", 1), pupa("m2", 7), undated("u")]
    assert plan_of(season([line(marks=5), tub(clear=True)], pupae)).clashes == ()


@pytest.mark.parametrize(("many", "clashes"), [(2, 0), (3, 2), (4, 5)])
def test_two_without_a_date_clash_with_one_another(many, clashes):
    # At 4, 8, 12, 16 every two are neighbours but 4 and 16: three make at least 2 pairs, four 6 - 1.
    pupae = [undated(f"u{k}") for k in range(many)]
    plan = plan_of(season([line(marks=4), tub(clear=True)], pupae))
    assert (len(plan.clashes), told(plan, "clashes")) == (clashes, (clashes, True))


def test_of_two_on_a_lid_one_is_moved_however_far_apart_they_pupated():
    plan = plan_of(season([line(), tub()], [pupa("m1", 6, x=5, y=5), undated("u", 1, x=8, y=5)]))
    assert (told(plan, "touched"), plan.clashes) == ((1, True), ())


def test_one_that_may_not_be_touched_stays_and_its_clash_is_told():
    plan = plan_of(
        season([line(), tub()], [pupa("m1", 1, x=5, y=5, stay=True), undated("u", x=8, y=5, stay=True)])
    )
    assert (plan.moves, [(c.a, c.b, c.gap) for c in plan.clashes]) == ((), [("m1", "u", 0)])
    assert told(plan, "clashes") == (1, True)


def test_a_soft_one_without_a_date_waits():
    plan = plan_of(season([line(), tub()], [pupa("m1", 8, x=5, y=5), undated("u", 8, x=8, y=5)]))
    assert (plan.moves, plan.clashes, [(c.a, c.b) for c in plan.waiting]) == ((), (), [("m1", "u")])


def test_a_prepupa_is_beside_nobody_as_before():
    plan = plan_of(season([line(), tub()], [pupa("j", None, x=5, y=5), undated("u", x=8, y=5)]))
    assert (plan.moves, plan.clashes, plan.waiting) == ((), (), ())


def test_the_smallest_gap_is_that_of_those_with_a_date():
    # u at 4 beside the hung h at 8, which clash and stay; m1 and m2 are hung from the tub, apart.
    held = [undated("u", 3, "n", spot="4", hung=day(6)), pupa("h", 1, "n", spot="8", hung=day(6))]
    case = season([line(marks=8), tub(clear=True)], [*held, pupa("m1", 3), pupa("m2", 7)])
    plan = plan_of(case)
    assert [{c.a, c.b} for c in plan.clashes] == [{"h", "u"}]
    # m1 and m2 find spots of 20 to 32 that are out of reach of one another and of h: nobody has a gap.
    assert "smallest_gap" not in plan.neighbours


@pytest.mark.parametrize("widest", [False, True])
def test_the_widest_gap_leaves_out_who_has_no_date(widest):
    pupae = [pupa("m1", 1), pupa("m2", 4), undated("u", 7)]
    plan = plan_of(season([line(marks=5), tub(clear=True)], pupae), widest=widest)
    # u keeps 10 cm from both, so m1 and m2 hang side by side, three days apart.
    assert (told(plan, "clashes"), plan.neighbours["smallest_gap"]) == ((0, True), 3)
    assert not widest or told(plan, "smallest_gap") == (3, True)


def test_where_only_the_risk_counts_it_is_parted_from_all_as_well():
    pupae = [pupa("m1", 1), pupa("m2", 7), undated("u")]
    plan = plan_of(season([line(marks=4), tub(clear=True)], pupae, risk=0.05))
    assert told(plan, "clashes") == (1, True)
    assert plan_of(season([line(marks=5), tub(clear=True)], pupae, risk=0.05)).clashes == ()


def test_no_gap_at_all_does_not_put_anybody_beside_it():
    plan = plan_of(season([line(marks=4), tub(clear=True)], [pupa("m1", 3), undated("u")]), gap=0)
    assert {spots(plan)["m1"], spots(plan)["u"]} == {"4", "16"}


def test_no_spot_is_kept_beside_it_and_none_of_its_own_is_given_away():
    held = [undated("u", 1, "n", spot="8", hung=day(6))]  # in reach of 4, 12 and 16
    come = (Expected(date(2027, 7, 12), 1, "monarch"),)
    plan = plan_of(season([line(marks=4), tub()], held, expected=come))
    assert (plan.kept, plan.hoped, told(plan, "room")) == ((), (), (1, True))
    plan = plan_of(season([line(marks=5), tub()], held, expected=come))
    assert ([k.spot for k in plan.kept], told(plan, "room")) == (["20"], (0, True))


def test_it_can_wait_on_its_lid_like_others():
    # One mark for two on one lid, of whom neither may stay beside the other on it.
    case = season([line(marks=1), tub(clear=True)], [pupa("m1", 5), undated("u")])
    plan = plan_of(case, evenings=2)
    assert (len(plan.waits), plan.clashes) == (1, ())


def test_it_may_be_moved_for_a_year_as_no_darkening_is_in_sight():
    (move,) = plan_of(season([line(), tub(clear=True)], [undated("u")])).moves
    assert (move.not_before, move.not_after) == (datetime(2027, 7, 5), ON + timedelta(days=365))


def test_a_plan_that_hides_its_clash_is_refused():
    case = season([line(marks=4), tub(clear=True)], [pupa("m1", 1), pupa("m2", 7), undated("u")])
    plan = plan_of(case)
    (pair,) = plan.clashes
    said = [str(b) for b in verify(case, replace(plan, clashes=(), proof=()))]
    name = {"m1": "m1 (due 2027-07-12)", "m2": "m2 (due 2027-07-18)", "u": "u (no date is known)"}
    assert said == [
        f"clash: {name[pair.a]} and {name[pair.b]} hang {pair.distance:g} cm apart: allowed is nobody beside "
        "one that may be due on any day, or to list them under clashes"
    ]


def stalled(folder, *more):
    """Warm from 20 September for 14 days, then 11 °C, which is next to nothing for a monarch."""
    rows = [f"{date(2026, 9, 20) + timedelta(days=k)},18,25" for k in range(14)]
    (folder / "t.csv").write_text("date,min,max\n" + "\n".join(rows) + "\n")
    m1 = Pupa(id="m1", species="monarch", pupated=When(date(2026, 9, 28)), place="tub")
    places = (line(marks=4), tub(clear=True))
    found = Season(
        folder=folder, name="cold", temperature_file="t.csv", constant=11.0, places=places, pupae=(m1, *more)
    )
    return as_read(found)


def test_one_that_the_cold_has_stalled_is_hung_on_the_empty_line(tmp_path):
    case, on = stalled(tmp_path), datetime(2026, 10, 4, 12)
    assert (forecasts(case, on)["m1"].due, forecasts(case, on)["m1"].movable) == (None, True)
    plan = plan_of(case, on)
    assert ([m.pupa for m in plan.moves], plan.left, plan.hangs[0].due) == (["m1"], (), None)


def test_one_past_its_requirement_in_the_cold_is_not_moved(tmp_path):
    first = Pupa(id="m0", species="monarch", pupated=When(date(2026, 9, 20)), place="tub")
    plan = plan_of(stalled(tmp_path, first), datetime(2026, 10, 4, 12))
    assert [m.pupa for m in plan.moves] == ["m1"]


def test_the_risk_of_a_pair_is_given_that_neither_has_emerged_yet():
    # Two days apart: from pupation alone 5.5 %. At noon on the day m1 was due, with neither out, the two have
    # come nearer to one another: 14.2 %. A risk of 10 % allows the first and not the second.
    pupae = [pupa("m1", 1, x=5, y=5), pupa("m2", 3, x=8, y=5)]
    case, early, late = season([line(), tub()], pupae, risk=0.1), ON, datetime(2027, 7, 12, 12)
    whole, given = emergences(case, case.pupae), emergences(case, case.pupae, late)
    assert [round(together(one["m1"], one["m2"]), 3) for one in (whole, given)] == [0.055, 0.142]
    assert [m.pupa for m in plan_of(case, early).moves] == []
    assert [m.pupa for m in plan_of(case, late).moves] == ["m2"]
