"""Which tags are made, in which order, and what they say of a season's pupae."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from draw_world import case, hang, line, marks, pin

from planner.draw.tags.tag_sheet import Tag, tags_for
from planner.season.places import Board, Lid
from planner.season.plan.plan_record import Move


def move(step, pupa):
    return Move(
        step=step, pupa=pupa, from_place="tub", from_spot="?", to_place="north", to_spot="10",
        not_before=datetime(2027, 7, 9), not_after=datetime(2027, 7, 14),
    )  # fmt: skip


def test_movers_come_first_in_the_order_of_the_move_list():
    season, plan, _ = case(
        [line()], [hang("a", "north", "10"), hang("b", "north", "20"), hang("c", "north", "30")]
    )
    plan = replace(plan, moves=(move(1, "c"), move(2, "b")))
    assert [t.id for t in tags_for(season, plan)] == ["c", "b", "a"]


def test_one_that_moves_twice_comes_where_it_is_first_touched():
    season, plan, _ = case([line()], [hang("a", "north", "10"), hang("b", "north", "20")])
    plan = replace(plan, moves=(move(1, "b"), move(2, "a"), move(3, "b")))
    assert [t.id for t in tags_for(season, plan)] == ["b", "a"]


def test_the_others_follow_by_place_in_the_seasons_order_then_by_position():
    cork = Board(name="cork", width=20, height=10, pins_every=5, bottom=90)
    pins = {m.tag: m for m in marks(cork)}
    hangs = [
        pin("low", "cork", pins["r2p1"]),
        pin("right", "cork", pins["r1p2"]),
        pin("left", "cork", pins["r1p1"]),
        hang("far", "north", "30"),
        hang("near", "north", "10"),
    ]
    season, plan, _ = case([line(), cork], hangs)
    assert [t.id for t in tags_for(season, plan)] == ["near", "far", "left", "right", "low"]


def test_a_tag_names_the_spot_as_the_keeper_does():
    cork = Board(name="cork", width=20, height=10, pins_every=5, bottom=90)
    tub = Lid(name="tub", width=40, length=28)
    hangs = [hang("a", "north", "10"), pin("b", "cork", marks(cork)[0]), hang("c", "tub", "?", due=None)]
    season, plan, _ = case([line(), cork, tub], hangs, units="in", pupated={"c": None})
    july_3, july_15 = date(2027, 7, 3), date(2027, 7, 15)
    assert tags_for(season, plan) == [
        Tag(id="a", word="monarch", pupated=july_3, due=july_15, place="north", spot="10 in"),
        Tag(id="b", word="monarch", pupated=july_3, due=july_15, place="cork", spot="r1p1", kind="board"),
        Tag(id="c", word="monarch", pupated=None, due=None, place="tub", spot="", kind="lid"),
    ]


def test_only_the_chosen_get_a_tag():
    season, plan, _ = case([line()], [hang("a", "north", "10"), hang("b", "north", "20")])
    assert [t.id for t in tags_for(season, plan, ["b"])] == ["b"]


def test_those_that_are_gone_get_none():
    season, plan, _ = case([line()], [hang("a", "north", "10"), hang("b", "north", "20")])
    season = replace(season, pupae=(replace(season.pupae[0], outcome="emerged"), season.pupae[1]))
    assert [t.id for t in tags_for(season, plan)] == ["b"]


def test_ids_that_are_not_there_are_all_named():
    season, plan, _ = case([line()], [hang("a", "north", "10")])
    with pytest.raises(ValueError, match=r"^not in the plan, or gone: x1, x2$"):
        tags_for(season, plan, ["x2", "a", "x1"])
