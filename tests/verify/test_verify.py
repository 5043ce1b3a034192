"""The verifier's rules about who hangs and what the plan says: each kept, broken, and on its edge."""

import subprocess
import sys
from dataclasses import replace
from datetime import date

import pytest
from verify_world import good

from planner.season.plan.plan_record import Hang, Level, TooClose
from planner.season.reading.when import When
from planner.verify import Breach, clashes, verify

# everybody once


def test_a_pupa_that_is_gone_needs_no_spot():
    gone = good().pupa("d1", outcome="emerged", ended=When.parse("2027-07-05"))
    assert gone.claim(hangs=tuple(hang for hang in gone.plan.hangs if hang.pupa != "d1")).says() == []


def test_a_pupa_left_out_is_named():
    world = good()
    assert world.claim(hangs=tuple(hang for hang in world.plan.hangs if hang.pupa != "d1")).says() == [
        "once: d1 hangs nowhere: allowed is one spot for each pupa present"
    ]


def test_a_pupa_in_two_places_is_told():
    world = good()
    # 4 cm from itself at 48, which is no clash, and 8 cm from e2 at 52, which is nearer to it at 48
    again = replace(next(hang for hang in world.plan.hangs if hang.pupa == "e1"), spot="44", x=44)
    assert world.claim(hangs=(*world.plan.hangs, again)).says() == [
        "once: e1 hangs 2 times (north at 48, north at 44): allowed is once",
        "moves: step 10 moves e1 from tub-2 to north at 48: "
        "allowed is from tub-2 to north at 44, as it hangs",
    ]
    before = world.claim(hangs=(again, *world.plan.hangs))
    assert before.says() == ["once: e1 hangs 2 times (north at 44, north at 48): allowed is once"]
    assert [pair.distance for pair in clashes(before.season, before.plan)] == [5, 4]


def test_a_pupa_nobody_recorded_is_told():
    world = good()
    stranger = Hang(pupa="x9", place="north", spot="44", x=44, y=0)
    assert world.claim(hangs=(*world.plan.hangs, stranger)).says() == [
        "once: x9 hangs but is not recorded: allowed are pupae of the season"
    ]


def test_a_pupa_that_is_gone_hangs_no_more():
    assert good().pupa("d1", outcome="escaped", ended=When.parse("2027-07-05")).says() == [
        "once: d1 hangs but is recorded as escaped: allowed is no spot"
    ]


def test_an_empty_season_needs_an_empty_plan():
    empty = good().set(pupae=()).claim(hangs=(), moves=(), clashes=(), waiting=(), left=(), proof=())
    assert empty.says() == []


# left on a lid to be cleared


def test_who_stays_on_a_lid_to_be_cleared_is_under_left():
    assert good().claim(left=("p1",)).says() == [
        "left: l1 stays on lid tub-3, which is to be cleared: allowed is that only under left"
    ]


@pytest.mark.parametrize("name", ["a1", "b1", "c1", "x9"])
def test_nobody_else_is_under_left(name):
    assert good().claim(left=("l1", "p1", name)).says() == [
        f"left: {name} is under left: allowed are only those who stay on a lid to be cleared"
    ]


def test_a_name_is_under_left_once_in_any_order():
    assert good().claim(left=("p1", "l1")).says() == []
    assert good().claim(left=("p1", "l1", "p1")).says() == ["left: p1 is under left 2 times: allowed is once"]


# due days


def test_a_wrong_due_day_is_told():
    assert good().hang("a1", due=date(2027, 7, 8)).says() == [
        "due: a1 is due 2027-07-08 in the plan: allowed is due 2027-07-07, as forecast",
        "dates: a1 is due 2027-07-08 in the plan: allowed is 2027-07-07, by its degree-days",
    ]


def test_a_due_day_is_neither_missing_nor_made_up():
    assert good().hang("a1", due=None).says() == [
        "due: a1 is due on no day in the plan: allowed is due 2027-07-07, as forecast",
        "dates: a1 is due on no day in the plan: allowed is 2027-07-07, by its degree-days",
    ]
    assert good().hang("p1", due=date(2027, 7, 17)).says() == [
        "due: p1 is due 2027-07-17 in the plan: allowed is due on no day, as forecast"
    ]


def test_the_due_day_turns_at_midnight():
    # pupated at 23:59 it is due at 23:59 ten days later, a minute after that on the next day
    assert good().pupa("d1", pupated=When.parse("2027-06-25T23:59")).says() == []
    assert good().pupa("d1", pupated=When.parse("2027-06-26T00:00")).says() == [
        "due: d1 is due 2027-07-05 in the plan: allowed is due 2027-07-06, as forecast"
    ]


# clashes


def test_a_clash_that_is_listed_is_no_breach():
    world = good()
    assert world.says() == []
    assert [(pair.a, pair.b, pair.gap, pair.distance) for pair in clashes(world.season, world.plan)] == [
        ("c1", "c2", 0, 5),
        ("e1", "e2", 0, 4),
    ]


def test_a_clash_that_is_not_listed_is_told():
    assert good().claim(clashes=(), proof=()).says() == [
        "clash: e1 (due 2027-07-12) and e2 (due 2027-07-12) hang 4 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes"
    ]


def test_two_due_exactly_the_gap_apart_do_not_clash():
    # the least gap of neighbours but e1, e2 and c1, c2 is two days: a1 7, a2 9, a3 11, a4 7 July
    assert good().claim(gap_days=2.0).says() == []
    first = good().claim(gap_days=2.01).says()[0]
    assert first == (
        "clash: a1 (due 2027-07-07) and a2 (due 2027-07-09) hang 4 cm apart with 2 days between them: "
        "allowed is 2.01 days or more, or to list them under clashes"
    )


def test_a_gap_of_minutes_is_told_with_two_decimals():
    # half an hour apart: 0.0208 days
    world = good().pupa("e1", pupated=When.parse("2027-07-02T12:00"))
    world = world.pupa("e2", pupated=When.parse("2027-07-02T12:30"))
    assert world.claim(clashes=(), proof=()).says() == [
        "clash: e1 (due 2027-07-12) and e2 (due 2027-07-12) hang 4 cm apart with 0.02 days between them: "
        "allowed is 2 days or more, or to list them under clashes"
    ]


def test_a_clash_may_be_listed_either_way_round():
    assert good().claim(clashes=(TooClose(a="e2", b="e1", gap=0, distance=4),)).says() == []


def test_a_soft_pair_not_listed_may_also_wait():
    assert good().claim(waiting=()).says() == [
        "clash: c1 (due 2027-07-14) and c2 (due 2027-07-14) hang 5 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes or waiting"
    ]


def test_a_soft_pair_may_be_listed_as_a_clash_as_well():
    world = good()
    assert world.claim(clashes=(*world.plan.clashes, *world.plan.waiting), waiting=(), proof=()).says() == []


def test_a_pupa_not_measured_is_beside_everybody_on_its_lid():
    # d1 is due 5 July; pupated 4 July c1 and c2 are due on the 14th, 5 cm apart, until c1 is no more measured
    world = good().pupa("c1", x=None, y=None).hang("c1", x=None, y=None)
    assert world.claim(waiting=()).says() == [
        "clash: c2 (due 2027-07-14) and c1 (due 2027-07-14) hang on one lid, not measured, "
        "with 0 days between them: allowed is 2 days or more, or to list them under clashes or waiting"
    ]
    assert world.claim(waiting=(TooClose(a="c1", b="c2", gap=0, distance=None),)).says() == []
    assert world.says() == [
        "listed: c1 (due 2027-07-14) and c2 (due 2027-07-14) are listed under waiting "
        "with 5 cm between them: allowed is no distance"
    ]


# nothing invented


@pytest.mark.parametrize(("a", "b", "names"), [
    ("a1", "a4", "a1 (due 2027-07-07) and a4 (due 2027-07-07)"),  # 12 cm apart
    ("a1", "a2", "a1 (due 2027-07-07) and a2 (due 2027-07-09)"),  # two days apart
    ("a1", "a1", "a1 (due 2027-07-07) and a1 (due 2027-07-07)"),
    ("l1", "p1", "l1 (due 2027-07-14) and p1 (no due day)"),
    ("a1", "x9", "a1 (due 2027-07-07) and x9 (no due day)"),
])  # fmt: skip
def test_a_pair_that_does_not_clash_is_not_listed(a, b, names):
    world = good()
    made_up = TooClose(a=a, b=b, gap=0, distance=4)
    assert world.claim(clashes=(*world.plan.clashes, made_up), proof=()).says() == [
        f"listed: {names} are listed under clashes: allowed are only neighbours "
        "that do not have 2 days or more between them"
    ]


def test_a_soft_pupa_waits_beside_a_firm_one_that_stays():
    firm = When.parse("2027-07-03")
    beside = good().pupa("c2", pupated=firm).hang("c2", due=date(2027, 7, 13))
    assert beside.claim(waiting=(TooClose(a="c1", b="c2", gap=1, distance=5),)).says() == []
    both = beside.pupa("c1", pupated=firm).hang("c1", due=date(2027, 7, 13))
    assert both.says()[1:] == [
        "listed: c1 (due 2027-07-13) and c2 (due 2027-07-13) are listed under waiting: "
        "allowed is that only while one of them is soft, or waits, and neither is moved"
    ]


def test_nobody_is_moved_beside_a_soft_pupa_to_wait():
    # h1 on line north at 30.3 cm, soft and due 14 July; b3, due 13 July, is brought within 2.3 cm of it
    world = good().pupa("h1", pupated=When.parse("2027-07-04")).hang("h1", due=date(2027, 7, 14))
    world = world.to("b3", "north", "28", 28)
    waits = TooClose(a="b3", b="h1", gap=1, distance=2.3)
    assert world.claim(waiting=(*world.plan.waiting, waits)).says() == [
        "clash: b3 (due 2027-07-13) and h1 (due 2027-07-14) hang 2.3 cm apart with 1 day between them: "
        "allowed is 2 days or more, or to list them under clashes",
        "listed: b3 (due 2027-07-13) and h1 (due 2027-07-14) are listed under waiting: "
        "allowed is that only while one of them is soft, or waits, and neither is moved",
    ]
    assert world.claim(clashes=(*world.plan.clashes, waits), proof=()).says() == []


def test_a_pair_of_firm_pupae_does_not_wait():
    assert good().claim(
        clashes=(), waiting=(*good().plan.waiting, *good().plan.clashes), proof=()
    ).says() == [
        "clash: e1 (due 2027-07-12) and e2 (due 2027-07-12) hang 4 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes",
        "listed: e1 (due 2027-07-12) and e2 (due 2027-07-12) are listed under waiting: "
        "allowed is that only while one of them is soft, or waits, and neither is moved",
    ]


def test_a_listed_pair_has_its_true_gap_and_distance():
    assert good().claim(clashes=(TooClose(a="e1", b="e2", gap=1, distance=5),)).says() == [
        "listed: e1 (due 2027-07-12) and e2 (due 2027-07-12) are listed under clashes "
        "with 1 day between them: allowed is 0 days",
        "listed: e1 (due 2027-07-12) and e2 (due 2027-07-12) are listed under clashes "
        "with 5 cm between them: allowed is 4 cm",
    ]


def test_listed_numbers_agree_to_a_thousandth():
    assert good().claim(clashes=(TooClose(a="e1", b="e2", gap=0.0009, distance=4.0009),)).says() == []
    assert len(good().claim(clashes=(TooClose(a="e1", b="e2", gap=0.0011, distance=4.0011),)).says()) == 2


def test_a_pair_is_listed_once():
    world = good()
    assert world.claim(waiting=world.plan.waiting * 2).says() == [
        "listed: c1 (due 2027-07-14) and c2 (due 2027-07-14) are listed more than once: allowed is once"
    ]


# what is said to be proved


def test_clashes_and_moves_are_as_many_as_claimed():
    levels = (
        Level(name="clashes", value=0, bound=0, proved=True),
        Level(name="touched", value=12, bound=12, proved=True),
    )
    assert good().claim(proof=levels).says() == [
        "proof: level clashes has value 0: allowed is 1, the number listed",
        "proof: level touched has value 12: allowed is 11, the number listed",
    ]


# standing alone


def test_the_verifier_shares_nothing_with_what_it_verifies():
    ask = "import planner.verify, sys; print(*sys.modules)"
    modules = subprocess.run(
        [sys.executable, "-c", ask], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "planner.verify" in modules
    strangers = (
        "planner.rack",
        "planner.planning",
        "planner.engine",
        "planner.draw",
        "networkx",
        "ortools",
        "matplotlib",
    )
    assert [
        name for name in modules if name in strangers or name.startswith(tuple(s + "." for s in strangers))
    ] == []


def test_a_breach_names_its_pupae_and_reads_as_a_line():
    world = good().claim(clashes=(), proof=())
    (breach,) = verify(world.season, world.plan)
    assert breach == Breach("clash", ("e1", "e2"), breach.what)
    assert str(breach) == f"clash: {breach.what}"
