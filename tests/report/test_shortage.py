from dataclasses import replace
from datetime import date, datetime

from room_world import SEASON

from planner.follow.outlook import Room, RoomOnDay
from planner.report.texts.shortage import mending, unhoused
from planner.season import Board, Expected, Kept, Level, Line, Plan

MON, TUE, WED = date(2027, 7, 5), date(2027, 7, 6), date(2027, 7, 7)
MARKS = Line(name="north", length=90, height=150, clips_every=4)
YARN = Line(name="south", length=90, height=150, clip_width=3)
CORK = Board(name="cork", width=30, height=30, pins_every=5, bottom=100)


def of(*needed):
    days = (RoomOnDay(d, 1.0, 0, *n, 10) for d, n in zip((MON, TUE, WED), needed, strict=True))
    return Room(tuple(days), "all")


def said(room, *places, **more):
    return list(mending(replace(SEASON, places=places, **more), room))


def test_nothing_is_said_while_there_are_spots_enough():
    assert said(of((3, 4), (9, 10), (5, 6)), MARKS) == []


def test_the_worst_day_and_how_many_are_lacking():
    assert said(of((3, 11), (12.4, 15), (5, 6)), MARKS) == [
        "Most are lacking on Tue 6 Jul: 2.4 on average, up to 5.",
        "What would mend it: 5 more spots (20 cm of line with marks as on north); or hang 5 fewer until "
        "Wed 7 Jul, when there is room again.",
    ]


def test_on_average_there_may_be_enough():
    assert said(of((3, 4), (3, 4), (9, 11)), YARN) == [
        "Most are lacking on Wed 7 Jul: up to 1.",
        "What would mend it: 1 more spot (3 cm of line at least, clip to clip as on south).",
    ]


def test_lines_in_inches_and_boards():
    inches = Line(name="north", length=90, height=150, clips_every=5.08)
    assert "(6 in of line with marks as on north)" in said(of((1, 13), (1, 1), (1, 1)), inches, units="in")[1]
    assert "3 more spots (pins as on board cork)" in said(of((1, 13), (1, 1), (1, 1)), CORK)[1]


def test_who_finds_no_spot_under_the_plan_is_told_by_day():
    season = replace(SEASON, expected=(Expected(MON, 2, "monarch"), Expected(TUE, 3, "monarch")))
    kept = Kept(who="expected 2027-07-05 monarch", place="n", spot="4", since=datetime(2027, 7, 7), due=WED)
    room = Level(name="room", value=4, bound=4, proved=True)
    plan = Plan(on=datetime(2027, 7, 5), gap_days=2, hangs=(), kept=(kept,), proof=(room,))
    assert list(unhoused(season, plan)) == [
        "Near dates are in the way: under the plan in force 4 of those to come (1 of Mon 5 Jul, 3 of Tue "
        "6 Jul) find no spot away from pupae of near dates. More line, a plan with --rehang or, once "
        "they are firm, one with --wait may mend that."
    ]
    assert list(unhoused(season, replace(plan, proof=()))) == []
