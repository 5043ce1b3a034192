"""Where a sick one hung nobody is hung until it is cleaned: feasible, infeasible, known optimum."""

from dataclasses import replace

from season_world import day, level, line, plan_of, pupa, season, tub

from planner.rack.spots import positions
from planner.season import Board, Line


def sick(place, spot, **more):
    return pupa("z1", 1, place, spot=spot, outcome="parasitised", **more)


def spots_of(plan):
    return {h.pupa: (h.place, h.spot) for h in plan.hangs}


PAIR = [pupa("m1", 7, x=5.0, y=5.0), pupa("m2", 7, x=8.0, y=5.0)]


def test_the_other_spot_is_taken():
    # Two marks, 4 and 8; 4 is closed: whoever leaves the lid hangs at 8.
    case = season([line(marks=2), tub(clear=True)], [PAIR[0], sick("n", "4")])
    assert spots_of(plan_of(case))["m1"] == ("n", "8")


def test_without_another_spot_it_stays_on_its_lid_until_the_spot_is_cleaned():
    case = season([line(marks=1), tub(clear=True)], [PAIR[0], sick("n", "4")])
    plan = plan_of(case)
    assert plan.left == ("m1",)
    assert (level(plan, "left").value, level(plan, "left").proved) == (1, True)
    cleaned = replace(case, pupae=(PAIR[0], sick("n", "4", cleaned=day(8))))
    assert spots_of(plan_of(cleaned))["m1"] == ("n", "4")


def test_the_fewest_clashes_are_reached_around_a_closed_spot():
    # Of one day, on a line with marks 4, 8, 12, 16 and a reach of 10: 4 and 16 are 12 apart, and only
    # these two are far enough. With 16 closed no such pair is left.
    case = season([line(marks=4), tub(clear=True)], [*PAIR, sick("n", "16")])
    plan = plan_of(case)
    assert len(plan.clashes) == 1
    assert level(plan, "clashes").proved
    assert len(plan_of(replace(case, pupae=tuple(PAIR))).clashes) == 0


def test_a_sliding_clip_keeps_its_width_from_where_a_sick_one_hung():
    # A clip is 3 cm wide and sat at 6: between 3 and 9 nobody is; pushed to the left one stops at 9.
    slide = Line(name="n", length=12, height=150, clip_width=3, to_nearest=1)
    found = positions(season([slide, tub()], [sick("n", "6")]))["n"]
    assert {s.x for s in found if not s.unusable} == {s.x for s in found if s.x <= 3 or s.x >= 9}
    assert 9.0 in {s.x for s in found}
    assert {s.unusable for s in found} == {"", "closed until cleaned: z1 was sick there"}


def test_the_pin_of_a_sick_one_is_closed_and_no_other():
    board = Board(name="b", width=20, height=10, pins_every=5, bottom=100)
    case = season([board, tub()], [sick("b", "r1p2")])
    assert [s.tag for s in positions(case)["b"] if s.unusable] == ["r1p2"]
